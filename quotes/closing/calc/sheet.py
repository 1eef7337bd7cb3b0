"""A close-out as it is kept: quoted against actual, what was earned, what to charge next time."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quotes.base.calc.figures import NOTHING, Figure
from quotes.closing.calc.close_out import Earnings, NextHours, Profits, StageOutcome
from quotes.closing.calc.material_outcome import MaterialOutcome, add_up_materials
from shop.builds.calc import LostTime


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeNext:
    """What to ask for the next one, net: at what it really took, and where to decline.

    `because` tells whose hours were taken and `jobs` from how many at least; `parts` are the steps
    that come to the price.
    """

    price: Decimal
    least: Decimal
    hours: Decimal
    because: str
    jobs: int = 1
    parts: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyOut:
    """What outside work or shipping really cost."""

    kind: str
    words: str
    amount: Decimal
    paid_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """An open build's money as it stands: what came in, tax in it, and what it cost."""

    money_in: Decimal
    costs: Decimal
    hours: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyIn:
    """One payment: client's money, the home money it was, and what the way there kept back.

    `gain` is what the day's rate brought beyond the quote's, below 0 a loss; `reached_gain` the
    same of what reached the account, the fee taken off, None where that was not kept.
    `foreign_fee` is the fee in the client's money, where it was kept in it.
    """

    received_on: date
    number: str
    currency: str
    amount: Decimal
    home: Decimal
    fee: Decimal
    gain: Decimal
    reached_gain: Decimal | None = None
    foreign_fee: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOutcome:
    """A change after acceptance: what it was worth, net, and whether it was billed."""

    name: str
    state: str
    price: Decimal
    is_billed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyOutcome:
    """What a commission brought in home money.

    `received` is net of tax; until `is_paid`, it is what invoices and the quote still ask for.
    `too_much` came in beyond that: it is the client's, and not in `received`. `so_far` and
    `forecast` belong to a build that is not finished.
    """

    receipts: tuple[MoneyIn, ...]
    changes: tuple[ChangeOutcome, ...]
    is_paid: bool
    received: Decimal
    tax: Decimal
    earnings: Earnings | None
    profits: Profits | None
    expenses: tuple[MoneyOut, ...] = ()
    too_much: Decimal = NOTHING
    so_far: SoFar | None = None
    forecast: Earnings | None = None

    @property
    def outside_how(self) -> str:
        """Where the figure of outside work is from."""
        return self._how("outside")

    @property
    def shipping_how(self) -> str:
        """Where the figure of shipping is from."""
        return self._how("shipping")

    def _how(self, kind: str) -> str:
        return "as paid" if any(row.kind == kind for row in self.expenses) else "as quoted"

    @property
    def is_foreign(self) -> bool:
        """Say whether something came in in another money than home's."""
        return any(row.amount != row.home or row.gain for row in self.receipts)

    @property
    def came_in(self) -> Decimal:
        """All payments in home money, tax in them."""
        return sum((row.home for row in self.receipts), NOTHING)

    @property
    def fees(self) -> Decimal:
        """What was kept back on the way."""
        return sum((row.fee for row in self.receipts), NOTHING)

    @property
    def currency_gain(self) -> Decimal:
        """What the days' rates brought beyond the quote's."""
        return sum((row.gain for row in self.receipts), NOTHING)

    @property
    def reached_gain(self) -> Decimal | None:
        """The same of what reached the account; None where it was not kept."""
        gains = [row.reached_gain for row in self.receipts if row.reached_gain is not None]
        return sum(gains, NOTHING) if len(gains) == len(self.receipts) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseOutSheet:
    """A build looked back on; money is missing where it was never quoted.

    `price` is the quoted one, net of tax and without shipping. Dates may be open; `first_promise`
    is the one on the quote, `promised_on` with the days that changes added. `lost` are days
    noted on the way.
    """

    stages: tuple[StageOutcome, ...]
    materials: tuple[MaterialOutcome, ...]
    price: Decimal | None
    money: MoneyOutcome | None
    contingency: Decimal
    mishaps: Figure
    next_hours: tuple[NextHours, ...]
    charge_next: ChargeNext | None
    first_promise: date | None
    promised_on: date | None
    finished_on: date | None
    lost: tuple[LostTime, ...] = ()

    @property
    def hours_quoted(self) -> Decimal:
        """All hours quoted."""
        return sum((stage.quoted for stage in self.stages), NOTHING)

    @property
    def hours_actual(self) -> Decimal:
        """All hours worked."""
        return sum((stage.actual for stage in self.stages), NOTHING)

    @property
    def hours_difference(self) -> Decimal:
        """Hours worked beyond those quoted; below 0 where fewer were needed."""
        return self.hours_actual - self.hours_quoted

    @property
    def hours_redone(self) -> Decimal:
        """Hours of making again, among all."""
        return sum((stage.redone for stage in self.stages), NOTHING)

    @property
    def days_lost(self) -> int:
        """All days that were noted as lost."""
        return sum(one.days for one in self.lost)

    @property
    def materials_total(self) -> MaterialOutcome:
        """The sums of the material lines."""
        return add_up_materials(self.materials)

    @property
    def contingency_left(self) -> Decimal:
        """What nothing was needed for; below 0 it was too little."""
        return self.contingency - self.mishaps.amount

    @property
    def lines_without_cost(self) -> tuple[str, ...]:
        """The lines for which nothing was drawn or priced, so that costs are missing."""
        return tuple(line.name for line in self.materials if not line.is_known)

    @property
    def earnings(self) -> Earnings | None:
        """What an hour earned as far as hours and money are known; costs may be missing."""
        return self.money.earnings if self.money else None

    @property
    def whole_earnings(self) -> Earnings | None:
        """What an hour earned, once the build is finished and no cost is missing."""
        is_open = self.money and self.money.so_far
        return None if is_open or self.lines_without_cost else self.earnings

    @property
    def days_late(self) -> int | None:
        """Days after the promise; below 0 early, None while either day is open."""
        if self.promised_on is None or self.finished_on is None:
            return None
        return (self.finished_on - self.promised_on).days
