"""python -m strandwright, and the command of that name."""


def main() -> None:
    """Run the command line."""
    # Processes that are started beside this one load this module too, and need no command line.
    from strandwright.cli.run import main as run

    run()


if __name__ == "__main__":
    main()
