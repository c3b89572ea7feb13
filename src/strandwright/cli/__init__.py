"""The command line: it reads arguments, calls a job and lays out the answer."""

from strandwright.cli.run import main

__all__ = ["main"]
