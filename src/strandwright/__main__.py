"""python -m strandwright."""

from strandwright.cli import main

if __name__ == "__main__":
    main()
