"""The command line: it reads arguments, calls a job and lays out the answer."""
