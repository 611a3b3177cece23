"""Runs the command line: ``python -m ringout``."""

import sys

from ringout.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
