"""A build looked back on: quoted against actual, by stage, by material and in money."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.queries import home_currency
from quotes.base.calc.snapshot import from_data
from quotes.closing.calc.close_out import (
    LEAST_BUILDS,
    StageOutcome,
    least_price,
    next_hours,
    with_hours,
    worst_first,
)
from quotes.closing.calc.sheet import ChargeNext, CloseOutSheet
from quotes.closing.queries.contingency import contingency_use
from quotes.closing.queries.materials import (
    BuildMaterials,
    lines_to_charge,
    material_outcomes,
    materials_of,
)
from quotes.closing.queries.money import money_outcome
from quotes.models import CloseOut, Quote
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.pricing import QUOTE_ROWS, basis_of, costed_lines, policy_of, stages_on
from shop.builds.queries.lost_days import lost_days_of
from shop.hours.queries.hours import first_hours_before, hours_by_stage
from shop.models import Build, TimeShare

NO_STAGE = "Without a stage"


def close_out_sheet(build: Build, on: date) -> CloseOutSheet:
    """Compare what was quoted for a build with what it took, as the books stand now."""
    quotes = Quote.objects.filter(build=build).prefetch_related(*QUOTE_ROWS)
    quote = quotes.select_related("commission__client").first()
    offer = offer_of(quote, on=on) if quote else None
    stages = stage_outcomes(build)
    materials = materials_of(build)
    contingency = contingency_use(build, quote, offer)
    suggested = tuple(next_hours(stage) for stage in stages if stage.actual)
    return CloseOutSheet(
        stages=worst_first(stages),
        materials=material_outcomes(materials, offer),
        price=offer.sheet.price if offer else None,
        money=money_outcome(quote, build, offer, stages, materials) if quote and offer else None,
        contingency=contingency.kept,
        mishaps=contingency.used,
        next_hours=suggested,
        # A stage that is half worked would read as quick.
        charge_next=(
            _charge_next(quote, build, stages, materials) if quote and not build.is_open else None
        ),
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
            is_done=not build.is_open or bool(row.stage and row.stage.finished_at),
        )
        for row in hours_by_stage(build)
        for name in [row.stage.name if row.stage else NO_STAGE]
    ]


def _charge_next(
    quote: Quote, build: Build, stages: Iterable[StageOutcome], materials: BuildMaterials
) -> ChargeNext:
    """Price the job again as it really went: first makings, and what was used at today's prices."""
    minor_unit = minor_unit_of(home_currency())
    costed = costed_lines(quote)
    basis = basis_of(quote, stages_on(quote), costed, quote.extras.all(), minor_unit)
    hours, jobs = _hours_to_charge(build, stages)
    basis = replace(with_hours(basis, hours), materials=lines_to_charge(materials, quote, costed))
    # Fees stand at the first instrument of an order; the next one is sold with its own.
    policy = replace(policy_of(quote), fee=policy_of(quote.part_of or quote).fee)
    sheet = build_price(basis, policy, minor_unit)
    return ChargeNext(
        price=sheet.price,
        least=least_price(sheet.hours, sheet.bought, quote.shop_rate, quote.price_step),
        hours=sheet.hours,
        because=f"the median of {jobs} jobs or more"
        if jobs >= LEAST_BUILDS
        else "the hours of this job where fewer than three say more",
        jobs=jobs,
        parts=tuple(step for step in (*sheet.build_up, sheet.rounding) if step.amount),
    )


def _hours_to_charge(
    build: Build, stages: Iterable[StageOutcome]
) -> tuple[dict[str, tuple[Decimal, str]], int]:
    """Return the hours of each stage with their source, and the fewest jobs that one rests on.

    What is not billable is paid by the shop rate, and not charged as hours here.
    """
    hours, jobs = {}, []
    unbilled = _unbilled_hours(build)
    for stage in stages:
        suggested = next_hours(stage)
        own = max(stage.first - unbilled.get(stage.name, Decimal(0)), Decimal(0))
        if suggested.hours is not None and stage.actual:
            hours[stage.name] = (suggested.hours, f"median of {suggested.builds} jobs")
        elif own:
            hours[stage.name] = (own, "as worked on this job")
        if stage.name in hours:
            jobs.append(suggested.builds if suggested.hours is not None else 1)
    return hours, min(jobs, default=0)


def _unbilled_hours(build: Build) -> dict[str, Decimal]:
    shares = TimeShare.objects.filter(build=build, entry__is_billable=False).order_by()
    sums = shares.values_list("stage__name").annotate(Sum("seconds"))
    return {name or NO_STAGE: round_money(Decimal(seconds) / 3600) for name, seconds in sums}
