"""Change orders: what each is made from, where it stands, what is built now."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.units import to_base
from inventory.base.queries import home_currency
from inventory.models import Material
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import Figure
from quotes.changes.calc import change_price, in_clients_money
from quotes.invoicing.queries.invoices import owed_on
from quotes.models import Change, Client, Commission, Invoice, Quote
from quotes.papers.documents.papers import specification_rows
from quotes.pricing.calc.tax import cost_to_maker
from shop.builds.queries.job_card import AgreedChange, AgreedChanges
from shop.models import Build
from shop.patterns.calc import SpecRow, rows_from, with_replaced, without_lines_of


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeStanding:
    """A change with its invoice and what of that is still owed.

    `waits` tells that it is agreed, paid ahead, and not paid yet: not to be begun.
    """

    change: Change
    invoice: Invoice | None
    owed: Decimal

    @property
    def waits(self) -> bool:
        """Say whether its money is still awaited before it is made."""
        change = self.change
        is_ahead = change.is_billed and change.is_paid_ahead and change.price > 0
        is_paid = self.invoice is not None and not self.owed
        return change.state == Change.State.AGREED and is_ahead and not is_paid

    @property
    def told(self) -> str:
        """What it alters, in words."""
        return told_in(self.change)

    @property
    def words(self) -> str:
        """Where it stands."""
        if self.change.state != Change.State.AGREED:
            return self.change.get_state_display()
        if not self.change.is_billed or not self.change.price:
            return "agreed, nothing to pay"
        if self.invoice is None:
            ahead = "in advance" if self.change.is_paid_ahead else "with the balance"
            return f"agreed, to be invoiced and paid {ahead}"
        if self.owed:
            ahead = " in advance" if self.change.is_paid_ahead else ""
            return f"agreed, invoiced, to be paid{ahead}"
        return "agreed and paid"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecificationStep:
    """One step of a specification's history: what was agreed, when, by whom and on which paper.

    `record` says whether it was by a link, and names the paper by the beginning of its hash.
    """

    at: datetime | None
    by: str
    title: str
    words: str
    record: str
    change: Change | None


def worked_out(quote: Quote, hours: Decimal, cost: Decimal) -> Figure:
    """Return what a change comes to at the quote's own rates, in home money."""
    return change_price(
        hours=hours,
        cost=cost,
        shop_rate=quote.shop_rate,
        markup_percent=quote.material_markup * HUNDRED,
        minor_unit=minor_unit_of(home_currency()),
    )


def cost_of_more(material: Material, quantity: Decimal, quote: Quote) -> Decimal:
    """Return what more of a material costs at replacement, 0 where it has no price.

    `quantity` is in its base unit. A tax that can't be reclaimed is in it, as in the quote.
    """
    each = (material.replacement_price or Decimal(0)) / to_base(Decimal(1), material.unit)
    cost = cost_to_maker(quantity * each, quote.bought_tax_rate * HUNDRED)
    return round_money(cost, minor_unit_of(home_currency()))


def asked_of_client(quote: Quote, home: Decimal) -> Decimal:
    """Return home money in the quote's: at its rate and with its buffer."""
    if quote.currency == home_currency():
        return home
    minor_unit = minor_unit_of(quote.currency)
    return in_clients_money(home, quote.exchange_rate, quote.currency_buffer * HUNDRED, minor_unit)


def standings_of(
    changes: Iterable[Change], clients: Collection[Client], on: date
) -> list[ChangeStanding]:
    """Return where changes of these clients stand on the day, in four queries for any number."""
    changes = list(changes)
    if not changes:
        return []
    invoices = Invoice.objects.filter(change__in=changes).exclude(kind=Invoice.Kind.CREDIT)
    standing = {
        one.change_id: one
        for one in invoices.prefetch_related("credit_notes")
        if one.gross + sum(note.gross for note in one.credit_notes.all()) > 0
    }
    owed = {
        one.invoice.pk: one.owed for account in owed_on(on, *clients) for one in account.invoices
    }
    return [
        ChangeStanding(
            change=change,
            invoice=(invoice := standing.get(change.pk)),
            owed=owed.get(invoice.pk, Decimal(0)) if invoice else Decimal(0),
        )
        for change in changes
    ]


def specification_steps(quote: Quote) -> list[SpecificationStep]:
    """Return what is to be built, step by step: as ordered, then every change that was agreed.

    Of an order of several instruments, the changes of all, each under its instrument's title.
    """
    quote = quote.part_of or quote
    instruments = quote.instruments
    by_link = set(quote.decisions.values_list("change", flat=True))
    first = SpecificationStep(
        at=quote.decided_at,
        by=quote.decided_by,
        title=f"As ordered, {quote.number} version {quote.version}",
        words="\n".join(line for one in instruments for line in _ordered(one, instruments)),
        record=_record(quote, by_link=None in by_link),
        change=None,
    )
    agreed = Change.objects.filter(quote__in=instruments, state=Change.State.AGREED)
    agreed = agreed.order_by("decided_at", "pk")
    steps = (
        SpecificationStep(
            at=change.decided_at,
            by=change.decided_by,
            title=_title(change, instruments),
            words=told_in(change),
            record=_record(change, by_link=change.pk in by_link),
            change=change,
        )
        for change in agreed.select_related("quote")
    )
    return [first, *steps]


def _title(change: Change, instruments: Collection[Quote]) -> str:
    title = f"Change order {change.number}: {change.title}"
    return f"{change.quote.title}. {title}" if len(instruments) > 1 else title


def _ordered(one: Quote, instruments: Collection[Quote]) -> Iterable[str]:
    title = one.title if len(instruments) > 1 else ""
    return filter(None, [title, *_rows_sent(one), one.specification, *one.options])


def _rows_sent(quote: Quote) -> Iterable[str]:
    rows = (quote.frozen or {}).get("paper", {}).get("rows", ())
    return (f"{row.name}: {row.words}" for row in rows_from(rows))


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSpecification:
    """What is to be built now: rows, and free words beside them."""

    rows: tuple[SpecRow, ...]
    text: str


def current_specification(quote: Quote) -> CurrentSpecification:
    """Return the specification as it was sent, with the rows that agreed changes replaced."""
    paper = (quote.frozen or {}).get("paper", {})
    rows, text = rows_from(paper.get("rows", ())), paper.get("specification", "")
    agreed = quote.changes.filter(state=Change.State.AGREED).order_by("decided_at", "pk")
    for change in agreed.only("rows"):
        new = rows_from(change.rows)
        rows = with_replaced(rows, new)
        text = without_lines_of(text, [row.name for row in new])
    return CurrentSpecification(rows=rows, text=text)


def rows_to_change(quote: Quote) -> tuple[SpecRow, ...]:
    """Return the rows that a change can replace: those of now, and named lines of the words."""
    now = current_specification(quote)
    named = (row for row in specification_rows(now.text) if row.name)
    return (*now.rows, *(SpecRow(name=row.name, value=row.words) for row in named))


def told_in(change: Change) -> str:
    """Say what a change alters: each row as it was and is to be, then its free words."""
    rows = (
        f"{new.name}: {old['before'] or 'none'} \N{RIGHTWARDS ARROW} {new.words or 'none'}"
        for old, new in zip(change.rows, rows_from(change.rows), strict=True)
    )
    return "\n".join(filter(None, [*rows, change.words]))


def _record(agreed: Quote | Change, *, by_link: bool) -> str:
    how = "by link, " if by_link else ""
    return f"{how}paper {agreed.document_sha256[:16]}" if agreed.document_sha256 else ""


def changes_of_builds(builds: Collection[Build], on: date) -> AgreedChanges:
    """Return the agreed changes of builds by the key of each, in five queries for any number."""
    changes = list(
        Change.objects.filter(quote__build__in=builds, state=Change.State.AGREED)
        .select_related("quote__commission__client")
        .prefetch_related("materials")
        .order_by("decided_at", "pk")
    )
    found: AgreedChanges = {}
    for standing in standings_of(changes, {one.quote.commission.client for one in changes}, on):
        key = standing.change.quote.build_id
        if key is not None:
            found[key] = (*found.get(key, ()), _told(standing))
    return found


def _told(standing: ChangeStanding) -> AgreedChange:
    change = standing.change
    agreed_on = timezone.localtime(change.decided_at).date() if change.decided_at else None
    return AgreedChange(
        number=change.number,
        title=change.title,
        words=told_in(change),
        agreed_on=agreed_on or change.offered_on,
        days_added=change.days_added,
        waits=standing.waits,
        stages=(change.stage_id,) if change.stage_id else (),
        lines=tuple(row.line_id for row in change.materials.all() if row.line_id),
    )


def closed_to_change(change: Change) -> str:
    """Say to a client why a change can't be answered any more; nothing while it is open."""
    if change.state == Change.State.AGREED:
        return "This change order is agreed."
    commission = change.quote.commission
    if change.quote.state != Quote.State.ACCEPTED or commission.state in (
        Commission.State.DELIVERED,
        Commission.State.CANCELLED,
    ):
        return "The order is closed, so you cannot answer here. Write to the workshop."
    if change.state == Change.State.DECLINED:
        return "This change order was declined. If you change your mind, write to the workshop."
    return ""
