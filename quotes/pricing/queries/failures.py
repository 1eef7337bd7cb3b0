"""What may go wrong with a quote's build, and what that costs on average."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import minor_unit_of, round_money
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import NOTHING
from quotes.models import Quote, QuoteFailure
from quotes.pricing.calc.contingency import (
    ExpectedFailures,
    FailureRisk,
    LossLine,
    expect_failures,
    take_what_is_lost,
)
from quotes.pricing.calc.offer import Offer
from shop.models import WasteRule


@dataclass(frozen=True, slots=True, kw_only=True)
class FailureLine:
    """One thing that may go wrong, on the page; `risk` and money are missing while it is off.

    `each` is what one time costs, `amount` what it costs on average.
    """

    row: QuoteFailure
    risk: FailureRisk | None
    each: Decimal | None
    amount: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FailurePage:
    """All of it, and together what it costs on average, give or take the spread."""

    lines: tuple[FailureLine, ...]
    expected: ExpectedFailures


def failure_page(quote: Quote, offer: Offer | None) -> FailurePage:
    """Return the failures of a quote as its page shows them; without an offer none has a cost."""
    risks = _risks(quote, offered_hours(offer), offered_lines(quote, offer))
    minor_unit = minor_unit_of(offer.home_currency) if offer else Decimal(1)
    expected = expect_failures(risks.values(), quote.shop_rate, minor_unit)
    amounts = dict(zip(risks, (line.amount for line in expected.lines), strict=True))
    return FailurePage(
        lines=tuple(
            _line(row, risks.get(row.pk), amounts.get(row.pk), quote.shop_rate, minor_unit)
            for row in quote.failures.all()
        ),
        expected=expected,
    )


def _line(
    row: QuoteFailure,
    risk: FailureRisk | None,
    amount: Decimal | None,
    rate: Decimal,
    minor_unit: Decimal,
) -> FailureLine:
    each = round_money(risk.each(rate), minor_unit) if risk else None
    return FailureLine(row=row, risk=risk, each=each, amount=amount)


def failure_risks(
    quote: Quote, hours: Mapping[str, Decimal], lines: Mapping[str, LossLine]
) -> tuple[FailureRisk, ...]:
    """Return what may go wrong in the stages that are on.

    `hours` are those of the stages by key, in the order of the work; `lines` those of the
    materials. What is in neither is switched off.
    """
    return tuple(_risks(quote, hours, lines).values())


def times_lost(quote: Quote, hours: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return how often each material is lost on average to what goes wrong, by its key."""
    times: dict[str, Decimal] = {}
    for row in quote.failures.all():
        if f"stage:{row.stage_id}" in hours:
            for key in _lost_keys(row):
                times[key] = times.get(key, NOTHING) + Decimal(1) / (row.one_in - 1)
    return times


def offered_hours(offer: Offer | None) -> dict[str, Decimal]:
    """Return the hours of what is offered, by the key of the stage."""
    return {stage.key: stage.hours for stage in offer.stages} if offer else {}


def offered_lines(quote: Quote, offer: Offer | None) -> dict[str, LossLine]:
    """Return the materials of what is offered, by the key of the line."""
    whole = keys_rejected_whole(quote)
    return {
        line.key: LossLine(
            cost=line.cost - line.waste, rejected=line.waste if line.key in whole else NOTHING
        )
        for line in (offer.materials if offer else ())
    }


def keys_rejected_whole(quote: Quote) -> set[str]:
    """Return the keys of the materials with a reject rate of whole pieces."""
    return {
        f"material:{row.pk}"
        for row in quote.materials.all()
        if row.waste_rule == WasteRule.WHOLE and row.waste_rate
    }


def _risks(
    quote: Quote, hours: Mapping[str, Decimal], lines: Mapping[str, LossLine]
) -> dict[int, FailureRisk]:
    rows = [row for row in quote.failures.all() if f"stage:{row.stage_id}" in hours]
    risks = (
        FailureRisk(
            name=row.name,
            stage=row.stage.name,
            chance_percent=HUNDRED / row.one_in,
            hours=_redone(row, hours),
        )
        for row in rows
    )
    taken = take_what_is_lost(zip(risks, map(_lost_keys, rows), strict=True), lines)
    return {row.pk: risk for row, risk in zip(rows, taken, strict=True)}


def _redone(row: QuoteFailure, hours: Mapping[str, Decimal]) -> Decimal:
    """All hours from the stage that is redone first to the one where it shows."""
    if row.hours is not None:
        return row.hours
    keys = list(hours)
    last = keys.index(f"stage:{row.stage_id}")
    first = f"stage:{row.redo_from_id}"
    start = keys.index(first) if first in hours else last
    return sum((hours[key] for key in keys[min(start, last) : last + 1]), NOTHING)


def _lost_keys(row: QuoteFailure) -> list[str]:
    return [f"material:{line.pk}" for line in row.lost.all()]
