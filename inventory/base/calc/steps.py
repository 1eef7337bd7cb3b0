"""The steps behind a figure: each has its words and its number, so that it can be asked why."""

from decimal import Decimal
from typing import NamedTuple


class ExplainedStep(NamedTuple):
    """One line of an explanation; `figure` is in the unit that the words name."""

    words: str
    figure: Decimal


def as_percent(rate: Decimal) -> str:
    """Write a rate as a page shows it: `0.08` becomes `8 %`."""
    text = f"{rate * 100:f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} %"
