#!/usr/bin/env python3
"""Starts, tests and administers Gramil: `python3 manage.py start` is all that a maker needs."""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - an older Python has to read as far as this
    sys.exit(
        f"Gramil needs Python 3.11 or newer and this is {sys.version.split()[0]}: "
        "install a newer one and name it in the command, such as `python3.11 manage.py start`."
    )

from shop.launch.commands import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
