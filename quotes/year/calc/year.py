"""A year of the books: by month, by template, by kind of client and by tax; home money, net."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeVar

from inventory.base.calc.money import round_money, share_out
from quotes.base.calc.figures import CENT, NOTHING
from quotes.pricing.calc.tax import REASONS, TaxCategory

Item = TypeVar("Item")
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True, kw_only=True)
class BookedInvoice:
    """An invoice, or a credit note with amounts below 0. `groups` are (tax words, net, tax)."""

    number: str
    on: date
    client: str
    client_kind: str
    client_tax_number: str
    kind: str
    currency: str
    net: Decimal
    tax: Decimal
    gross: Decimal
    home_net: Decimal
    home_tax: Decimal
    groups: tuple[tuple[str, Decimal, Decimal], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BookedPayment:
    """Money that came in, or went back below 0; `home` is what it was in home money."""

    number: str
    on: date
    client: str
    currency: str
    amount: Decimal
    home: Decimal
    fee: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceptedOrder:
    """An accepted quote: its net in home money, shipping in it."""

    on: date
    template: str
    client_kind: str
    net: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedBuild:
    """A build that was closed out: its hours, and what was left for them, if it had a price."""

    template: str
    client_kind: str
    hours: Decimal
    left: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthRow:
    """One month, 1 to 12: invoiced net and its tax, what came in with tax, minutes worked."""

    month: int
    accepted: int
    invoiced: Decimal
    tax: Decimal
    received: Decimal
    minutes: Decimal
    billable_minutes: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """One template or kind of client; `hourly` is the effective hourly of its closed builds."""

    name: str
    accepted: int
    net: Decimal
    closed: int
    hours: Decimal
    hourly: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRow:
    """What was invoiced at one rate, or without tax for one reason."""

    words: str
    net: Decimal
    tax: Decimal


class SumsOfMonths:
    """What `months` come to, whichever they are."""

    __slots__ = ()
    months: tuple[MonthRow, ...]

    @property
    def accepted(self) -> int:
        """How many quotes were accepted."""
        return sum(row.accepted for row in self.months)

    @property
    def invoiced(self) -> Decimal:
        """What was invoiced, net, less what was credited."""
        return sum((row.invoiced for row in self.months), NOTHING)

    @property
    def tax(self) -> Decimal:
        """The tax on it."""
        return sum((row.tax for row in self.months), NOTHING)

    @property
    def received(self) -> Decimal:
        """What came in, tax in it."""
        return sum((row.received for row in self.months), NOTHING)

    @property
    def minutes(self) -> Decimal:
        """All minutes worked."""
        return sum((row.minutes for row in self.months), NOTHING)

    @property
    def billable_minutes(self) -> Decimal:
        """Those that can be billed."""
        return sum((row.billable_minutes for row in self.months), NOTHING)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuarterRow(SumsOfMonths):
    """Three months of the year added up, with what was invoiced at each tax rate."""

    quarter: int
    months: tuple[MonthRow, ...]
    taxes: tuple[TaxRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnionRow:
    """What was supplied to one business in another member state; `number` is its tax number."""

    number: str
    client: str
    net: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class YearBooks(SumsOfMonths):
    """A year; `total` of each list is the sum of its rows."""

    year: int
    months: tuple[MonthRow, ...]
    templates: tuple[GroupRow, ...]
    clients: tuple[GroupRow, ...]
    taxes: tuple[TaxRow, ...]
    union: tuple[UnionRow, ...]
    invoices: tuple[BookedInvoice, ...]
    payments: tuple[BookedPayment, ...]

    @property
    def quarters(self) -> tuple[QuarterRow, ...]:
        """The four quarters, each by itself."""
        return tuple(self._quarter(number) for number in range(1, 5))

    def _quarter(self, number: int) -> QuarterRow:
        months = self.months[3 * number - 3 : 3 * number]
        inside = {row.month for row in months}
        return QuarterRow(
            quarter=number,
            months=months,
            taxes=_taxes(one for one in self.invoices if one.on.month in inside),
        )

    @property
    def accepted_net(self) -> Decimal:
        """What they come to, net."""
        return sum((row.net for row in self.templates), NOTHING)

    @property
    def is_empty(self) -> bool:
        """Say whether nothing at all happened."""
        return not (self.invoices or self.payments or self.templates or self.minutes)


def add_up_year(
    year: int,
    *,
    orders: Sequence[AcceptedOrder],
    closed: Sequence[ClosedBuild],
    invoices: Sequence[BookedInvoice],
    payments: Sequence[BookedPayment],
    minutes: Sequence[tuple[Decimal, Decimal]],
) -> YearBooks:
    """Add a year up from what is in it; `minutes` are of each month, all and billable."""
    return YearBooks(
        year=year,
        months=tuple(
            _month(month, orders, invoices, payments, minutes[month - 1]) for month in range(1, 13)
        ),
        templates=_groups(orders, closed, lambda item: item.template),
        clients=_groups(orders, closed, lambda item: item.client_kind),
        taxes=_taxes(invoices),
        union=_union(invoices),
        invoices=tuple(invoices),
        payments=tuple(payments),
    )


def home_groups(
    invoice_net: Decimal,
    invoice_tax: Decimal,
    groups: Sequence[tuple[str, Decimal, Decimal]],
    minor_unit: Decimal = CENT,
) -> tuple[tuple[str, Decimal, Decimal], ...]:
    """Cut an invoice's net and tax in home money to its tax groups, so that they add up to it."""
    nets = _cut(invoice_net, [net for _, net, _ in groups], minor_unit)
    taxes = _cut(invoice_tax, [tax for _, _, tax in groups], minor_unit)
    return tuple(
        (words, net, tax) for (words, _, _), net, tax in zip(groups, nets, taxes, strict=True)
    )


def _cut(whole: Decimal, parts: Sequence[Decimal], minor_unit: Decimal) -> list[Decimal]:
    weights = [abs(part) for part in parts]
    if not any(weights):
        return [NOTHING for _ in parts]
    return [share.copy_sign(whole) for share in share_out(abs(whole), weights, minor_unit)]


def _month(
    month: int,
    orders: Iterable[AcceptedOrder],
    invoices: Iterable[BookedInvoice],
    payments: Iterable[BookedPayment],
    minutes: tuple[Decimal, Decimal],
) -> MonthRow:
    sent = [invoice for invoice in invoices if invoice.on.month == month]
    return MonthRow(
        month=month,
        accepted=sum(order.on.month == month for order in orders),
        invoiced=sum((invoice.home_net for invoice in sent), NOTHING),
        tax=sum((invoice.home_tax for invoice in sent), NOTHING),
        received=sum((one.home for one in payments if one.on.month == month), NOTHING),
        minutes=minutes[0],
        billable_minutes=minutes[1],
    )


def _groups(
    orders: Iterable[AcceptedOrder],
    closed: Iterable[ClosedBuild],
    name_of: Callable[[AcceptedOrder | ClosedBuild], str],
) -> tuple[GroupRow, ...]:
    ordered, built = _by(orders, name_of), _by(closed, name_of)
    names = dict.fromkeys([*ordered, *built])
    rows = [_group(name, ordered.get(name, []), built.get(name, [])) for name in names]
    return tuple(sorted(rows, key=lambda row: (-row.net, row.name)))


def _by(items: Iterable[Item], key_of: Callable[[Item], Key]) -> dict[Key, list[Item]]:
    found: dict[Key, list[Item]] = {}
    for item in items:
        found.setdefault(key_of(item), []).append(item)
    return found


def _group(name: str, orders: Sequence[AcceptedOrder], closed: Sequence[ClosedBuild]) -> GroupRow:
    priced = [build for build in closed if build.left is not None and build.hours]
    hours = sum((build.hours for build in priced), NOTHING)
    left = sum((build.left or NOTHING for build in priced), NOTHING)
    return GroupRow(
        name=name,
        accepted=len(orders),
        net=sum((order.net for order in orders), NOTHING),
        closed=len(closed),
        hours=sum((build.hours for build in closed), NOTHING),
        hourly=round_money(left / hours) if hours else None,
    )


def _taxes(invoices: Iterable[BookedInvoice]) -> tuple[TaxRow, ...]:
    groups = [group for invoice in invoices for group in invoice.groups]
    return tuple(
        TaxRow(
            words=words,
            net=sum((net for _, net, _ in rows), NOTHING),
            tax=sum((tax for _, _, tax in rows), NOTHING),
        )
        for words, rows in sorted(_by(groups, lambda group: group[0]).items())
    )


def _union(invoices: Iterable[BookedInvoice]) -> tuple[UnionRow, ...]:
    supplied = REASONS[TaxCategory.INTRA_COMMUNITY]
    nets = [
        (invoice.client_tax_number, invoice.client, net)
        for invoice in invoices
        for words, net, _ in invoice.groups
        if words == supplied
    ]
    return tuple(
        UnionRow(number=number, client=rows[-1][1], net=sum((row[2] for row in rows), NOTHING))
        for number, rows in sorted(_by(nets, lambda row: row[0]).items())
    )
