"""A close-out as it is kept: quoted against actual, what was earned, what to charge next time."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quotes.calc.closeout import Earnings, StageOutcome
from quotes.calc.figures import NOTHING, Figure
from quotes.calc.material_outcome import MaterialOutcome, add_up_materials


@dataclass(frozen=True, slots=True, kw_only=True)
class NextHours:
    """Hours to quote next for a stage, and from how many builds; None where they are too few."""

    name: str
    hours: Decimal | None
    builds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeNext:
    """What to ask for the next one, net: at the hours it really took, and where to decline.

    `because` tells whose hours were taken.
    """

    price: Decimal
    least: Decimal
    hours: Decimal
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseOutSheet:
    """A build looked back on; money is missing where it was never quoted.

    `price` is the quoted one, net of tax and without shipping. `promised_on` and `finished_on`
    may be open.
    """

    stages: tuple[StageOutcome, ...]
    materials: tuple[MaterialOutcome, ...]
    price: Decimal | None
    earnings: Earnings | None
    is_received: bool
    contingency: Decimal
    mishaps: Figure
    next_hours: tuple[NextHours, ...]
    charge_next: ChargeNext | None
    promised_on: date | None
    finished_on: date | None

    @property
    def hours_quoted(self) -> Decimal:
        """All hours quoted."""
        return sum((stage.quoted for stage in self.stages), NOTHING)

    @property
    def hours_actual(self) -> Decimal:
        """All hours worked."""
        return sum((stage.actual for stage in self.stages), NOTHING)

    @property
    def materials_total(self) -> MaterialOutcome:
        """The sums of the material lines."""
        return add_up_materials(self.materials)

    @property
    def contingency_left(self) -> Decimal:
        """What nothing was needed for; below 0 it was too little."""
        return self.contingency - self.mishaps.amount

    @property
    def days_late(self) -> int | None:
        """Days after the promise; below 0 early, None while either day is open."""
        if self.promised_on is None or self.finished_on is None:
            return None
        return (self.finished_on - self.promised_on).days
