"""An order of several instruments looked back on: its builds added up."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quotes.base.calc.figures import NOTHING
from quotes.closing.calc.close_out import Earnings
from quotes.closing.calc.sheet import CloseOutSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentOutcome:
    """One instrument of an order; its costs so far where its build is open.

    `price` is quoted, net; `received` its share of the money, net of tax. `earnings` are what its
    hours earned once it is finished and every cost is known. `why_not` says what keeps the order's
    hourly rate from being known, or nothing.
    """

    name: str
    serial: str
    price: Decimal
    received: Decimal
    fees: Decimal
    shipping: Decimal
    materials: Decimal
    outside_work: Decimal
    hours_quoted: Decimal
    hours: Decimal
    earnings: Earnings | None
    why_not: str = ""

    @property
    def costs(self) -> Decimal:
        """Everything that came off what was received."""
        return self.fees + self.shipping + self.materials + self.outside_work

    @property
    def left(self) -> Decimal:
        """What is left for hours and overhead."""
        return self.received - self.costs


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderOutcome:
    """The instruments of an order and their sums."""

    rows: tuple[InstrumentOutcome, ...]
    total: InstrumentOutcome

    @property
    def why_not(self) -> tuple[str, ...]:
        """What keeps the hourly rate of the order from being known; empty where nothing does."""
        return tuple(row.why_not for row in self.rows if row.why_not)

    @property
    def effective_hourly(self) -> Decimal | None:
        """What an hour earned over the whole order, before overhead; None until it is known."""
        return None if self.total.earnings is None else self.total.earnings.effective_hourly

    @property
    def earned_hourly(self) -> Decimal | None:
        """The same after overhead."""
        return None if self.total.earnings is None else self.total.earnings.earned_hourly


def outcome_of(name: str, serial: str, sheet: CloseOutSheet) -> InstrumentOutcome:
    """Return what a close-out says of one instrument: its forecast costs while it is open."""
    money = sheet.money
    is_open = money is not None and money.so_far is not None
    known = money.forecast if money and is_open else sheet.earnings
    return InstrumentOutcome(
        name=name,
        serial=serial,
        price=sheet.price or NOTHING,
        received=money.received if money else NOTHING,
        fees=known.fees if known else NOTHING,
        shipping=known.shipping if known else NOTHING,
        materials=known.materials if known else sheet.materials_total.actual,
        outside_work=known.outside_work if known else NOTHING,
        hours_quoted=sheet.hours_quoted,
        hours=sheet.hours_actual,
        earnings=sheet.whole_earnings,
        why_not=_why_not(serial, sheet, is_open=is_open),
    )


def _why_not(serial: str, sheet: CloseOutSheet, *, is_open: bool) -> str:
    if is_open:
        return f"{serial} is not finished."
    if count := len(sheet.lines_without_cost):
        return f"{serial} has {count} line{'' if count == 1 else 's'} without a cost."
    return "" if sheet.whole_earnings else f"{serial} has no hours."


def add_up_order(name: str, rows: Iterable[InstrumentOutcome]) -> OrderOutcome:
    """Add the instruments of an order up; its hourly rate only where all of them have one."""
    rows = tuple(rows)
    names = (
        "price", "received", "fees", "shipping", "materials", "outside_work", "hours_quoted",
        "hours",
    )  # fmt: skip
    sums: dict[str, Any] = {one: sum((getattr(row, one) for row in rows), NOTHING) for one in names}
    total = InstrumentOutcome(name=name, serial="", earnings=_together(rows), **sums)
    return OrderOutcome(rows=rows, total=total)


def _together(rows: Iterable[InstrumentOutcome]) -> Earnings | None:
    all_of = [row.earnings for row in rows]
    known = [one for one in all_of if one is not None]
    if not known or len(known) < len(all_of):
        return None
    names = (
        "received", "fees", "shipping", "materials", "outside_work", "hours", "unbilled_hours",
    )  # fmt: skip
    sums: dict[str, Any] = {
        name: sum((getattr(one, name) for one in known), NOTHING) for name in names
    }
    return Earnings(overhead_per_hour=known[0].overhead_per_hour, **sums)
