"""python -m hollowglow, and the command of that name."""

import sys


def main() -> None:
    """Run the command line."""
    # Processes that are started beside this one load this module too, and need no command line.
    try:
        from hollowglow.cli.run import main as run
    except KeyboardInterrupt:  # on a busy machine the command is typed, and taken back, before all of it is there
        sys.stderr.write("\nStopped. Nothing was left half written.\n")
        sys.exit(130)
    run()


if __name__ == "__main__":
    main()
