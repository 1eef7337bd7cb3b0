"""The hours of a pattern on paper: the estimate, what it goes by, and how far to trust it."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from inventory.base.documents import write_pdf
from shop.base.pictures.shapes import Picture
from shop.estimates.calc.learning import LearningCurve
from shop.estimates.queries.sheet import EstimateSheet, PastSheet

if TYPE_CHECKING:
    from shop.estimates.calc.backtest import Backtest

MOST_BUILDS = 60
"""Past builds on paper; the page has all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursPaper:
    """Everything on the paper, of `size` A4 or Letter.

    learned, trust: pictures, where there are builds to draw.
    """

    workshop: str
    size: str
    made_on: date
    sheet: EstimateSheet
    ranges: Picture
    curve: LearningCurve | None
    learned: Picture | None
    found: "Backtest"
    trust: Picture | None

    @property
    def builds(self) -> tuple[PastSheet, ...]:
        """The latest past builds, as many as fit on a few pages."""
        return self.sheet.builds[:MOST_BUILDS]


def print_hours(paper: HoursPaper) -> bytes:
    """Return the PDF of `paper`, for the maker's own eyes: clients never see hours."""
    return write_pdf("shop/papers/hours.html", {"paper": paper})
