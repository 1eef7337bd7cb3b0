"""What may go wrong with a quote's build, and what that costs on average."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.calc.money import minor_unit, round_money
from quotes.calc.checks import HUNDRED
from quotes.calc.contingency import ExpectedFailures, FailureRisk, expect_failures
from quotes.calc.figures import NOTHING
from quotes.calc.offer import Offer
from quotes.models import Quote, QuoteFailure


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
    hours, costs = offered_hours(offer), offered_costs(offer)
    risks = dict(_risks(quote, hours, costs))
    unit = minor_unit(offer.home_currency) if offer else Decimal(1)
    expected = expect_failures(risks.values(), quote.shop_rate, unit)
    amounts = dict(zip(risks, (line.amount for line in expected.lines), strict=True))
    return FailurePage(
        lines=tuple(
            _line(row, risks.get(row.pk), amounts.get(row.pk), quote.shop_rate, unit)
            for row in quote.failures.all()
        ),
        expected=expected,
    )


def _line(
    row: QuoteFailure,
    risk: FailureRisk | None,
    amount: Decimal | None,
    rate: Decimal,
    unit: Decimal,
) -> FailureLine:
    each = round_money(risk.each(rate), unit) if risk else None
    return FailureLine(row=row, risk=risk, each=each, amount=amount)


def failure_risks(
    quote: Quote, hours: Mapping[str, Decimal], costs: Mapping[str, Decimal]
) -> tuple[FailureRisk, ...]:
    """Return what may go wrong in the stages that are on.

    `hours` are those of the stages by key, in the order of the work; `costs` those of one of each
    material, without its waste. What is in neither is switched off.
    """
    return tuple(risk for _, risk in _risks(quote, hours, costs))


def offered_hours(offer: Offer | None) -> dict[str, Decimal]:
    """Return the hours of what is offered, by the key of the stage."""
    return {stage.key: stage.hours for stage in offer.stages} if offer else {}


def offered_costs(offer: Offer | None) -> dict[str, Decimal]:
    """Return what one of each material costs without what is spoilt, by the key of its line."""
    return {line.key: line.cost - line.waste for line in offer.materials} if offer else {}


def _risks(
    quote: Quote, hours: Mapping[str, Decimal], costs: Mapping[str, Decimal]
) -> Iterable[tuple[int, FailureRisk]]:
    for row in quote.failures.all():
        if f"stage:{row.stage_id}" in hours:
            yield (
                row.pk,
                FailureRisk(
                    name=row.name,
                    stage=row.stage.name,
                    chance_percent=HUNDRED / row.one_in,
                    hours=_redone(row, hours),
                    cost=_lost(row, costs),
                ),
            )


def _redone(row: QuoteFailure, hours: Mapping[str, Decimal]) -> Decimal:
    """All hours from the stage that is redone first to the one where it shows."""
    if row.hours is not None:
        return row.hours
    keys = list(hours)
    last = keys.index(f"stage:{row.stage_id}")
    first = f"stage:{row.redo_from_id}"
    start = keys.index(first) if first in hours else last
    return sum((hours[key] for key in keys[min(start, last) : last + 1]), NOTHING)


def _lost(row: QuoteFailure, costs: Mapping[str, Decimal]) -> Decimal:
    return sum((costs.get(f"material:{line.pk}", NOTHING) for line in row.lost.all()), NOTHING)
