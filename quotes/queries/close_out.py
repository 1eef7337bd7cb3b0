"""A build looked back on: quoted against actual, by stage, by material and in money."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.calc.money import minor_unit, round_money
from inventory.money import home_currency, home_unit
from quotes.calc.close_out_sheet import ChargeNext, CloseOutSheet, NextHours
from quotes.calc.closeout import (
    StageOutcome,
    least_price,
    suggest_hours,
    with_hours,
    worst_first,
)
from quotes.calc.material_outcome import (
    ActualMaterial,
    MaterialOutcome,
    QuotedMaterial,
    compare_material,
)
from quotes.calc.offer import Offer
from quotes.calc.pricing import build_price
from quotes.models import Quote
from quotes.queries.close_out_money import money_outcome
from quotes.queries.contingency import contingency_use
from quotes.queries.offer import offer_of
from quotes.queries.pricing import (
    QUOTE_ROWS,
    basis_of,
    costed_lines,
    policy_of,
    stages_on,
)
from shop.models import Build, BuildDraw, BuildState, TimeShare
from shop.queries.hours import hours_by_stage
from shop.queries.needs import Need, needs_of

EARLIER_SHOWN = 3
NO_STAGE = "On no stage"


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
    next_hours = tuple(_next_hours(stage) for stage in stages if stage.actual)
    return CloseOutSheet(
        stages=worst_first(stages),
        materials=materials,
        price=offer.sheet.price if offer else None,
        money=money_outcome(quote, build, offer, hours, needs) if quote and offer else None,
        contingency=contingency.kept,
        mishaps=contingency.used,
        next_hours=next_hours,
        charge_next=_charge_next(quote, stages, next_hours) if quote else None,
        first_promise=offer.ready_on if offer else build.promised_on,
        promised_on=build.promised_on,
        finished_on=build.finished_on,
    )


def stage_outcomes(build: Build) -> list[StageOutcome]:
    """Return the stages of a build in order, with the hours of earlier builds of its template."""
    earlier = _earlier_hours(build)
    return [
        StageOutcome(
            name=row.stage.name if row.stage else NO_STAGE,
            quoted=row.planned_minutes / 60,
            actual=round_money(row.minutes / 60),
            earlier=tuple(earlier.get(row.stage.name if row.stage else NO_STAGE, ())),
        )
        for row in hours_by_stage(build)
    ]


def _earlier_hours(build: Build) -> dict[str, list[Decimal]]:
    """Hours of each stage, by name, on the last finished builds of this template, latest first."""
    if build.template_id is None:
        return {}
    done = Build.objects.filter(
        template=build.template_id,
        state__in=[BuildState.FINISHED, BuildState.CLOSED],
        is_set_aside=False,
    ).exclude(pk=build.pk)
    latest = list(done.values_list("pk", flat=True)[:EARLIER_SHOWN])
    sums = (
        TimeShare.objects.filter(build__in=latest, stage__isnull=False)
        .values_list("stage__name", "build")
        .annotate(seconds=Sum("seconds"))
        .order_by("-build")
    )
    earlier: dict[str, list[Decimal]] = {}
    for name, _, seconds in sums:
        earlier.setdefault(name, []).append(round_money(Decimal(seconds) / 3600))
    return earlier


def _materials(
    build: Build, offer: Offer | None, needs: Iterable[Need]
) -> tuple[MaterialOutcome, ...]:
    waste = [line.waste for line in offer.materials] if offer else []
    substitutes = _lines_with_substitutes(build)
    outcomes = [
        _material(need, waste[place] if place < len(waste) else Decimal(0), substitutes)
        for place, need in enumerate(needs)
    ]
    return (*outcomes, *_beside_the_list(build))


def _material(need: Need, waste: Decimal, substitutes: set[int]) -> MaterialOutcome:
    line = need.line
    quoted = QuotedMaterial(quantity=line.to_draw, cost=line.planned_cost, waste=waste)
    actual = ActualMaterial(
        quantity=need.used,
        cost=need.used_cost,
        scrap=need.scrapped_cost,
        substitute=line.pk in substitutes,
    )
    return compare_material(line.name, quoted, actual, home_unit())


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
        yield compare_material(name, QuotedMaterial(), actual, home_unit())


def _next_hours(stage: StageOutcome) -> NextHours:
    suggestion = suggest_hours([stage.actual, *stage.earlier])
    return NextHours(name=stage.name, hours=suggestion.hours, builds=suggestion.builds)


def _charge_next(
    quote: Quote, stages: Iterable[StageOutcome], next_hours: Iterable[NextHours]
) -> ChargeNext:
    """Price the quote's rows again, today, with the hours that it really takes."""
    unit = minor_unit(home_currency())
    basis = basis_of(quote, stages_on(quote), costed_lines(quote), quote.extras.all(), unit)
    hours = {stage.name: stage.actual for stage in stages if stage.actual}
    hours |= {each.name: each.hours for each in next_hours if each.hours is not None}
    sheet = build_price(with_hours(basis, hours), policy_of(quote), unit)
    fewest = min((each.builds for each in next_hours), default=0)
    return ChargeNext(
        price=sheet.price,
        least=least_price(sheet.hours, sheet.bought, quote.shop_rate, quote.price_step),
        hours=sheet.hours,
        because=f"the median of {fewest} builds or more"
        if all(each.hours is not None for each in next_hours) and fewest
        else "the hours of this build where fewer than three say more",
    )
