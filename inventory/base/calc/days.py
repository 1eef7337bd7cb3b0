"""Days in words."""

from datetime import date


def day_words(on: date) -> str:
    """Write a day as a letter does: 9 March 2027."""
    return f"{on.day} {on:%B %Y}"
