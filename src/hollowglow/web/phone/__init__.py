"""The door to what a phone may see of a workbench: a small server of its own on the local network, behind a code."""

from hollowglow.web.phone.answers import AnswerError, Answers
from hollowglow.web.phone.app import make_phone_app
from hollowglow.web.phone.gate import Gate
from hollowglow.web.phone.lan import local_addresses
from hollowglow.web.phone.line import PhoneLine, open_line

__all__ = ["AnswerError", "Answers", "Gate", "PhoneLine", "local_addresses", "make_phone_app", "open_line"]
