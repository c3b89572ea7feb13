"""The use cases that the command line and every other presenter share; nothing else does work."""

from hollowglow.jobs.plan import plan_document, plan_file

__all__ = ["plan_document", "plan_file"]
