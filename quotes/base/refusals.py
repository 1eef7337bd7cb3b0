"""What papers for clients decline alike."""

from datetime import date

from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal


class ClockSetBack(Refusal):
    """A paper would have an earlier day than one that came before it."""

    def __init__(self, before: str, day: date, on: date, *, so: str, or_else: str) -> None:
        super().__init__(
            f"{before} was issued on {day_words(day)}, and today is {day_words(on)} by this "
            f"computer's clock: {so}. Set the clock right, or {or_else}."
        )
