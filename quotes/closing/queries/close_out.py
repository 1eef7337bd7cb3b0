"""A build looked back on: quoted against actual, by stage, by material and in money."""

from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.queries import home_currency, home_minor_unit
from quotes.base.calc.snapshot import from_data
from quotes.closing.calc.close_out import (
    NextHours,
    StageOutcome,
    least_price,
    next_hours,
    with_hours,
    worst_first,
)
from quotes.closing.calc.material_outcome import (
    ActualMaterial,
    MaterialOutcome,
    QuotedMaterial,
    compare_material,
)
from quotes.closing.calc.sheet import ChargeNext, CloseOutSheet
from quotes.closing.queries.contingency import contingency_use
from quotes.closing.queries.money import money_outcome
from quotes.models import CloseOut, Quote
from quotes.pricing.calc.offer import Offer
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.pricing import QUOTE_ROWS, basis_of, costed_lines, policy_of, stages_on
from shop.builds.queries.lost_days import lost_days_of
from shop.builds.queries.needs import BuildNeed, needs_of
from shop.hours.queries.hours import first_hours_before, hours_by_stage
from shop.models import Build, BuildDraw

NO_STAGE = "Without a stage"


def close_out_sheet(build: Build, on: date) -> CloseOutSheet:
    """Compare what was quoted for a build with what it took, as the books stand now."""
    quotes = Quote.objects.filter(build=build).prefetch_related(*QUOTE_ROWS)
    quote = quotes.select_related("commission__client").first()
    offer = offer_of(quote, on=on) if quote else None
    stages = stage_outcomes(build)
    needs = sorted(needs_of([build]), key=lambda need: need.line.position)
    materials = _materials(build, offer, needs)
    hours = sum((stage.actual for stage in stages), Decimal(0))
    contingency = contingency_use(build, quote, offer)
    suggested = tuple(next_hours(stage) for stage in stages if stage.actual)
    return CloseOutSheet(
        stages=worst_first(stages),
        materials=materials,
        price=offer.sheet.price if offer else None,
        money=money_outcome(quote, build, offer, hours, needs) if quote and offer else None,
        contingency=contingency.kept,
        mishaps=contingency.used,
        next_hours=suggested,
        charge_next=_charge_next(quote, stages, suggested) if quote else None,
        first_promise=offer.ready_on if offer else build.promised_on,
        promised_on=build.promised_on,
        finished_on=build.finished_on,
        lost=lost_days_of(build),
    )


def kept_or_live_sheet(build: Build, on: date) -> CloseOutSheet:
    """Return a build's close-out as it was kept, or as the books stand on the day."""
    kept = CloseOut.objects.filter(build=build).first()
    return from_data(CloseOutSheet, kept.figures) if kept else close_out_sheet(build, on)


def stage_outcomes(build: Build) -> list[StageOutcome]:
    """Return the stages of a build in order, with the hours of earlier builds of its template."""
    earlier = first_hours_before(build)
    return [
        StageOutcome(
            name=name,
            quoted=row.planned_minutes / 60,
            actual=round_money(row.minutes / 60),
            earlier=tuple(round_money(minutes / 60) for minutes in earlier.get(name, ())),
            redone=round_money(row.redone_minutes / 60),
        )
        for row in hours_by_stage(build)
        for name in [row.stage.name if row.stage else NO_STAGE]
    ]


def _materials(
    build: Build, offer: Offer | None, needs: Iterable[BuildNeed]
) -> tuple[MaterialOutcome, ...]:
    waste = [line.waste for line in offer.materials] if offer else []
    substitutes = _lines_with_substitutes(build)
    outcomes = [
        _material(need, waste[place] if place < len(waste) else Decimal(0), substitutes)
        for place, need in enumerate(needs)
    ]
    return (*outcomes, *_beside_the_list(build))


def _material(need: BuildNeed, waste: Decimal, substitutes: set[int]) -> MaterialOutcome:
    line = need.line
    quoted = QuotedMaterial(quantity=line.to_draw, cost=line.planned_cost, waste=waste)
    actual = ActualMaterial(
        quantity=need.used,
        cost=need.used_cost,
        scrap=need.scrapped_cost,
        substitute=line.pk in substitutes,
    )
    return compare_material(line.name, quoted, actual, home_minor_unit())


def _lines_with_substitutes(build: Build) -> set[int]:
    """Lines for which another material was drawn than was quoted."""
    draws = BuildDraw.objects.filter(build=build, line__material__isnull=False)
    rows = draws.values_list("line", "line__material", "entry__material")
    return {line for line, quoted, drawn in rows if quoted != drawn}


def _beside_the_list(build: Build) -> Iterable[MaterialOutcome]:
    """What was drawn for the build and stands on no line of it, less what came back."""
    draws = BuildDraw.objects.filter(build=build, line=None).order_by()
    own = draws.values_list("entry__material__name").annotate(
        Sum("entry__quantity"), Sum("entry__cost")
    )
    followed = draws.filter(entry__followed_by__isnull=False).values_list("entry__material__name")
    back = followed.annotate(Sum("entry__followed_by__quantity"), Sum("entry__followed_by__cost"))
    sums: dict[str, tuple[Decimal, Decimal]] = {}
    for name, quantity, cost in [*own, *back]:
        before = sums.get(name, (Decimal(0), Decimal(0)))
        sums[name] = (before[0] - quantity, before[1] - cost)
    for name, (quantity, cost) in sorted(sums.items()):
        actual = ActualMaterial(quantity=quantity, cost=cost)
        yield compare_material(name, QuotedMaterial(), actual, home_minor_unit())


def _charge_next(
    quote: Quote, stages: Iterable[StageOutcome], suggested: Collection[NextHours]
) -> ChargeNext:
    """Price the quote's rows again, today, with the hours that it really takes."""
    minor_unit = minor_unit_of(home_currency())
    basis = basis_of(quote, stages_on(quote), costed_lines(quote), quote.extras.all(), minor_unit)
    hours = {stage.name: stage.first for stage in stages if stage.first}
    hours |= {each.name: each.hours for each in suggested if each.hours is not None}
    sheet = build_price(with_hours(basis, hours), policy_of(quote), minor_unit)
    fewest = min((each.builds for each in suggested), default=0)
    return ChargeNext(
        price=sheet.price,
        least=least_price(sheet.hours, sheet.bought, quote.shop_rate, quote.price_step),
        hours=sheet.hours,
        because=f"median of {fewest} builds or more"
        if all(each.hours is not None for each in suggested) and fewest
        else "hours of this build, where there are fewer than three builds",
    )
