"""A year end, gathered from the journal of stock, the builds, their hours and the invoices."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, Q, QuerySet, Sum

from inventory.base.calc.days import day_words
from inventory.base.calc.money import round_money
from inventory.base.calc.units import from_base
from inventory.base.queries import end_of, home_minor_unit, stock_rules
from inventory.models import KeptAs, Lot, Reason, StockEntry, StockRules
from inventory.shelf.queries.value import StockValue, stock_as_of
from quotes.base.calc.figures import plain
from quotes.invoicing.queries.invoices import owed_on
from quotes.models import Expense, Invoice
from quotes.pricing.queries.costing import quantity_words
from quotes.year_end.calc import OpenBuild, Owed, StockLine, WriteDown, YearEnd, labour_of
from shop.models import Build, BuildDraw, BuildState, TimeShare

NOTHING = Decimal(0)


def year_end(year: int, labour_rate: Decimal | None = None) -> YearEnd:
    """Gather the end of a year in a fixed number of queries, whenever it is asked for.

    What happened by 31 December counts, at the prices noted by then; what was corrected later
    counts as it stood. `labour_rate` is the cost of an hour in home money; None leaves labour out.
    """
    on = date(year, 12, 31)
    worthless = list(_worthless_lots(on))
    return YearEnd(
        year=year,
        stock=tuple(_stock_lines(stock_as_of(end_of(on)), worthless)),
        write_downs=tuple(one.shown for one in worthless),
        builds=labour_of(list(_open_builds(on)), labour_rate, home_minor_unit()),
        owed=tuple(_owed(on)),
        labour_rate=labour_rate,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthlessLot:
    """A lot proposed for write-down, with its material's key and its quantity in base units."""

    material: int
    quantity: Decimal
    shown: WriteDown


def _worthless_lots(on: date) -> Iterator[WorthlessLot]:
    """Lots that had expired by the day, and ends too short or too narrow to use. Three queries."""
    rules = stock_rules()
    lots = _perhaps_worthless(on, rules)
    entries = StockEntry.objects.filter(lot__in=lots.values("pk"), happened_at__lte=end_of(on))
    sums = entries.order_by().values_list("lot").annotate(Sum("quantity"), Sum("cost"))
    held = {key: (quantity, cost) for key, quantity, cost in sums if quantity > 0 and cost > 0}
    for lot in lots.filter(pk__in=held).select_related("material").order_by("material__name", "pk"):
        quantity, cost = held[lot.pk]
        if not (why := _why_worthless(lot, quantity, on, rules)):
            continue
        unit = lot.material.unit
        yield WorthlessLot(
            material=lot.material_id,
            quantity=quantity,
            shown=WriteDown(
                lot=lot.number,
                material=lot.material.name,
                quantity=quantity_words(from_base(quantity, unit), unit),
                cost=cost,
                why=why,
            ),
        )


def _perhaps_worthless(on: date, rules: StockRules) -> QuerySet[Lot]:
    """Lots that had expired, ends of pieces under the limit, and lengths, whose rest decides."""
    is_end = Q(cut_from__material=F("material")) & (
        Q(piece__length_mm__lt=rules.least_length_mm) | Q(piece__width_mm__lt=rules.least_width_mm)
    )
    is_length = Q(material__kept_as=KeptAs.LENGTH)
    return Lot.objects.filter(Q(expires_on__lte=on) | is_end | is_length, received_on__lte=on)


def _why_worthless(lot: Lot, quantity: Decimal, on: date, rules: StockRules) -> str:
    """Say why a lot is proposed for write-down; nothing where it can still be used."""
    if lot.expires_on and lot.expires_on <= on:
        return f"expired on {day_words(lot.expires_on)}"
    if lot.material.kept_as != KeptAs.LENGTH:
        return "end under the usable size"
    is_short = quantity < rules.least_length_mm
    return f"end under {plain(rules.least_length_mm)} mm" if is_short else ""


def _stock_lines(
    held: Iterable[StockValue], worthless: Iterable[WorthlessLot]
) -> Iterator[StockLine]:
    by_material: dict[int, list[WorthlessLot]] = defaultdict(list)
    for one in worthless:
        by_material[one.material].append(one)
    minor_unit = home_minor_unit()
    for row in held:
        gone = by_material[row.material.pk]
        rest = row.quantity - sum((one.quantity for one in gone), NOTHING)
        price = row.realisable_price
        unit = row.material.unit
        yield StockLine(
            family=row.material.family.name,
            name=row.material.name,
            quantity=from_base(row.quantity, unit),
            unit=unit,
            cost=row.cost,
            written_down=sum((one.shown.cost for one in gone), NOTHING),
            realisable=None
            if price is None
            else round_money(price * from_base(rest, unit), minor_unit),
            replacement=row.replacement,
        )


def _open_builds(on: date) -> Iterator[OpenBuild]:
    """Builds that were neither finished nor cancelled by the day, and had anything in them.

    A build that was cancelled without a commission has no day of it and counts nowhere. Six
    queries.
    """
    rows = Build.objects.filter(made_on__lte=on).filter(
        Q(finished_on=None) | Q(finished_on__gt=on),
        ~Q(state=BuildState.CANCELLED) | Q(quote__commission__cancelled_on__gt=on),
    )
    builds = list(rows.order_by("serial"))
    drawn, scrapped = _drawn(builds, on)
    bought = _sums(
        Expense.objects.filter(build__in=builds, paid_on__lte=on).exclude(
            kind=Expense.Kind.SHIPPING
        ),
        "build",
        "amount",
    )
    seconds = _sums(
        TimeShare.objects.filter(build__in=builds, entry__day__lte=on), "build", "seconds"
    )
    invoiced = _sums(
        Invoice.objects.filter(quote__build__in=builds, issued_on__lte=on),
        "quote__build",
        "home_net",
    )
    for build in builds:
        one = OpenBuild(
            key=build.pk,
            serial=build.serial,
            title=build.title,
            materials=drawn[build.pk],
            bought=bought.get(build.pk, NOTHING),
            scrapped=scrapped[build.pk],
            minutes=Decimal(seconds.get(build.pk, 0)) / 60,
            invoiced=invoiced.get(build.pk, NOTHING),
        )
        if one.cost or one.scrapped or one.minutes or one.invoiced:
            yield one


def _drawn(builds: list[Build], on: date) -> tuple[dict[int, Decimal], dict[int, Decimal]]:
    """What was drawn for each build and what was scrapped, less what came back by the day."""
    moment = end_of(on)
    draws = BuildDraw.objects.filter(build__in=builds, entry__happened_at__lte=moment)
    back = Sum("entry__followed_by__cost", filter=Q(entry__followed_by__happened_at__lte=moment))
    drawn: dict[int, Decimal] = defaultdict(Decimal)
    scrapped: dict[int, Decimal] = defaultdict(Decimal)
    for draw in draws.select_related("entry").annotate(back=back).order_by("pk"):
        cost = -draw.entry.cost - (draw.back or NOTHING)
        of = scrapped if draw.entry.reason == Reason.SCRAPPED else drawn
        of[draw.build_id] += cost
    return drawn, scrapped


def _sums(rows: QuerySet, key: str, name: str) -> dict[int, Decimal]:
    """Add up a column by what it belongs to."""
    return dict(rows.order_by().values_list(key).annotate(Sum(name)))


def _owed(on: date) -> Iterator[Owed]:
    for account in owed_on(on):
        for one in account.invoices:
            yield Owed(
                number=one.invoice.number,
                client=account.client.name,
                currency=account.currency,
                amount=one.owed,
                days_late=one.days_late,
                key=one.invoice.pk,
            )
