"""What no fact of a workshop can be: a day on which nothing of it has happened."""

from datetime import date, timedelta

FIRST_DAY = date(1900, 1, 1)
"""Wood is kept for decades and its invoice with it; nothing that is recorded here is older."""
AHEAD = timedelta(days=366)
"""How far a day may lie ahead: books are opened before their year, and clocks are wrong."""


def happened_by(day: date, *, today: date) -> str:
    """Return a sentence for a day on which nothing can have happened by `today`, or nothing."""
    last = today + AHEAD
    if FIRST_DAY <= day <= last:
        return ""
    return f"{day} can't be: give a day from {FIRST_DAY} to {last}."
