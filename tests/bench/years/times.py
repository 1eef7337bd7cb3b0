"""How often each kind of the demo's rows is copied, and SQL for how the copies are numbered."""

from dataclasses import dataclass

from quotes.models import Commission, Quote
from shop.models import Build, BuildState
from tests.bench.years.rows import DAYS, STRIDE, earlier, year_of


@dataclass(frozen=True)
class Times:
    """How often each kind of rows is copied."""

    orders: int

    @property
    def past(self) -> int:
        return max(self.orders // 8, 1)

    @property
    def stock(self) -> int:
        return max(self.orders // 4, 1)

    @property
    def clients(self) -> int:
        return max(self.orders * 3 // 10, 1)

    @property
    def open(self) -> int:
        return min(self.stock, 11)

    @property
    def materials(self) -> int:
        return min(self.orders, 42)

    @property
    def on_shelf(self) -> int:
        return max(self.orders // 10, 1)

    @property
    def counts(self) -> int:
        return min(self.stock, 40)

    @property
    def draws_of_a_lot(self) -> tuple[int, int]:
        return max(self.orders // 50, 1), max(self.orders * 198 // 1000, 4)


@dataclass(frozen=True)
class Kinds:
    """The demo's builds and commissions, by what becomes of their copies (lists for SQL)."""

    delivered: str
    past: str
    open: str
    settled_orders: str
    open_orders: str

    @classmethod
    def read(cls) -> "Kinds":
        closed = Build.objects.filter(state=BuildState.CLOSED)
        settled = Commission.objects.filter(
            quotes__state__in=[Quote.State.DECLINED, Quote.State.LAPSED]
        ) | Commission.objects.filter(state=Commission.State.DELIVERED)
        return cls(
            delivered=keys_of(closed.filter(quote__isnull=False)),
            past=keys_of(closed.filter(quote=None)),
            open=keys_of(Build.objects.exclude(state=BuildState.CLOSED)),
            settled_orders=keys_of(settled),
            open_orders=keys_of(Commission.objects.exclude(pk__in=settled)),
        )


def is_held_by(column: str, keys: str) -> str:
    held = ", ".join(f"'build:{key.strip()}'" for key in keys.split(","))
    return f"{column} IN ({held})"


def numbered(day: str, number: str, each: int, days: int = DAYS, at: int = 1) -> str:
    """Return SQL for a paper's number in the year of its copy, such as I-2011-483002."""
    year = year_back(day, each, days)
    return f"substr({number}, {at}, 2) || {year} || '-' || (turn * {STRIDE} + old.id)"


def back(column: str, each: int, is_day: bool = True, days: int = DAYS) -> str:
    return earlier(column, f"turn * {days} / {each}", is_day=is_day)


def year_back(column: str, each: int, days: int) -> str:
    return year_of(back(column, each, days=days))


def keys_of(rows) -> str:
    return ", ".join(str(key) for key in sorted(set(rows.values_list("pk", flat=True))))
