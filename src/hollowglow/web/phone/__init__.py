"""The door to what a phone may see of a workbench: a small server of its own on the local network, behind a code."""

from strandwright.workbench.phone.answers import AnswerError, Answers
from strandwright.workbench.phone.app import make_phone_app
from strandwright.workbench.phone.gate import Gate
from strandwright.workbench.phone.lan import local_addresses
from strandwright.workbench.phone.line import Line, open_line

__all__ = ["AnswerError", "Answers", "Gate", "Line", "local_addresses", "make_phone_app", "open_line"]
