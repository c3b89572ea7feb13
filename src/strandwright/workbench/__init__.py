"""The door to the workbench: one display file on a local web page, with the same jobs and pictures as the command line."""

from strandwright.workbench.serve import open_workbench

__all__ = ["open_workbench"]
