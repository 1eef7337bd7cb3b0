"""How the launcher speaks: lines of progress, and problems that carry the way out."""

import sys


class Problem(Exception):
    """Why the program can't go on, in one sentence that also says what to do."""


def say(line: str) -> None:
    """Print a line of progress, kept out of what a command itself prints."""
    print(line, file=sys.stderr, flush=True)
