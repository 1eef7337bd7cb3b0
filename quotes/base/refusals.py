"""What papers for clients decline alike."""

from datetime import date

from inventory.base.refusals import Refusal


class ClockSetBack(Refusal):
    """A paper would have an earlier day than one that came before it."""

    def __init__(self, before: str, day: date, on: date, *, so: str, or_else: str) -> None:
        super().__init__(
            f"{before} was issued on {_day(day)}, and today is {_day(on)} by this computer's "
            f"clock: {so}. Set the clock right, or {or_else}."
        )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
