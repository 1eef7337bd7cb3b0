"""Arithmetic of a year end: lower of cost and realisable, write-downs proposed, work in progress.

IAS 2 *Inventories*: paragraph 9 (lower of cost and net realisable value), 10 to 12 (materials and
labour of conversion), 16(a) (abnormal waste is no cost of inventories), 28 and 29 (item by item).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import round_money
from inventory.ledger.calc.valuation import carrying_value
from quotes.base.calc.figures import CENT, NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class WriteDown:
    """A lot that is proposed to be written down to nothing, and why; `quantity` is in words."""

    lot: str
    material: str
    quantity: str
    cost: Decimal
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLine:
    """One material held: what it cost, what of that is written down, what the rest would fetch.

    `realisable` is of the rest, None where no price is known: then the rest stays at cost.
    `replacement` is of all of it, None where no price is known.
    """

    family: str
    name: str
    quantity: Decimal
    unit: str
    cost: Decimal
    written_down: Decimal
    realisable: Decimal | None
    replacement: Decimal | None

    @property
    def rest(self) -> Decimal:
        """What is left of the cost once the lots proposed for it are written down."""
        return self.cost - self.written_down

    @property
    def below_cost(self) -> Decimal:
        """By how much the rest would fetch less than it cost."""
        return self.rest - self.value

    @property
    def value(self) -> Decimal:
        """What the accounts may carry it at: the lower of the two, item by item."""
        return carrying_value(self.rest, self.realisable)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBuild:
    """A build that was open on the day: materials and bought work in it, its scrap, its minutes.

    `invoiced` is what was asked for it ahead, net.
    """

    key: int
    serial: str
    title: str
    materials: Decimal
    bought: Decimal
    scrapped: Decimal
    minutes: Decimal
    invoiced: Decimal

    @property
    def cost(self) -> Decimal:
        """What is in it so far, without labour and without what was scrapped."""
        return self.materials + self.bought


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildCost:
    """An open build with its labour at a cost of the hour; no labour where none is asked for."""

    build: OpenBuild
    labour: Decimal

    @property
    def with_labour(self) -> Decimal:
        """What is in it so far, labour in it."""
        return self.build.cost + self.labour


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """An invoice that was not settled on the day."""

    number: str
    client: str
    currency: str
    amount: Decimal
    days_late: int
    key: int


@dataclass(frozen=True, slots=True, kw_only=True)
class YearEnd:
    """A year end; each total is the sum of the lines that are shown.

    `labour_rate` is the cost of an hour, None where labour is left out.
    """

    year: int
    stock: tuple[StockLine, ...]
    write_downs: tuple[WriteDown, ...]
    builds: tuple[BuildCost, ...]
    owed: tuple[Owed, ...]
    labour_rate: Decimal | None

    @property
    def stock_cost(self) -> Decimal:
        """What all stock cost."""
        return sum((line.cost for line in self.stock), NOTHING)

    @property
    def written_down(self) -> Decimal:
        """What is proposed to be written down, lot by lot."""
        return sum((one.cost for one in self.write_downs), NOTHING)

    @property
    def below_cost(self) -> Decimal:
        """What the rest would fetch less than it cost."""
        return sum((line.below_cost for line in self.stock), NOTHING)

    @property
    def stock_value(self) -> Decimal:
        """What stock may be carried at."""
        return sum((line.value for line in self.stock), NOTHING)

    @property
    def replacement(self) -> Decimal:
        """What it would cost to buy again, of the materials that have a price."""
        return sum((line.replacement or NOTHING for line in self.stock), NOTHING)

    @property
    def without_replacement(self) -> tuple[StockLine, ...]:
        """The materials without a replacement price."""
        return tuple(line for line in self.stock if line.replacement is None)

    @property
    def without_realisable(self) -> tuple[StockLine, ...]:
        """The materials of which it is not known what they would fetch."""
        return tuple(line for line in self.stock if line.realisable is None)

    @property
    def in_progress(self) -> Decimal:
        """Work in progress without labour."""
        return sum((one.build.cost for one in self.builds), NOTHING)

    @property
    def labour(self) -> Decimal:
        """The labour in it, at cost."""
        return sum((one.labour for one in self.builds), NOTHING)

    @property
    def scrapped(self) -> Decimal:
        """What was scrapped on open builds, which is no work in progress."""
        return sum((one.build.scrapped for one in self.builds), NOTHING)

    @property
    def invoiced_ahead(self) -> Decimal:
        """What was invoiced ahead for open builds, net."""
        return sum((one.build.invoiced for one in self.builds), NOTHING)

    @property
    def inventories(self) -> Decimal:
        """Stock and work in progress together, labour in it if it is asked for."""
        return self.stock_value + self.in_progress + self.labour

    @property
    def owed_by_currency(self) -> dict[str, Decimal]:
        """What is owed, currency by currency."""
        sums: dict[str, Decimal] = {}
        for one in self.owed:
            sums[one.currency] = sums.get(one.currency, NOTHING) + one.amount
        return sums


def labour_of(
    builds: Sequence[OpenBuild], rate: Decimal | None, minor_unit: Decimal = CENT
) -> tuple[BuildCost, ...]:
    """Add labour at `rate` an hour to each build, rounded build by build; None adds none."""
    return tuple(
        BuildCost(build=one, labour=round_money(one.minutes / 60 * (rate or NOTHING), minor_unit))
        for one in builds
    )
