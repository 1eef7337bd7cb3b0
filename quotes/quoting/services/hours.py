"""Take the hours of a draft from past builds, at the level that the maker names."""

from collections.abc import Collection, Mapping
from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.base.refusals import Refusal
from quotes.base.locking import lock_draft
from quotes.models import Quote, QuoteStage
from shop.estimates.calc.quoting import LEVEL_WORDS, LEVELS
from shop.estimates.queries.estimates import StageLevels, levels_for

BY_HAND = "set by hand"
FIELDS = ("hours", "hours_low", "hours_high", "basis")
NO_LEVELS: Mapping[int, str] = {}


@transaction.atomic
def take_hours(
    *,
    quote: Quote,
    on: date,
    level: str = "",
    stages: Mapping[int, str] = NO_LEVELS,
    batch: int = 1,
    by_hand: bool = False,
) -> Quote:
    """Write estimated hours into the stages of a draft, and into their basis what they are.

    level: for all stages together, which share the total's own figure at that level; those set
    by hand are left alone unless `by_hand`. stages: key of a row → level for that stage by
    itself. batch: builds made side by side. Raises NotADraft, and Refusal without a template,
    where a saving beside the first instrument would count twice, on a level that
    is none, or on a row that no estimate reaches.
    """
    draft = lock_draft(quote)
    _check([*([level] if level else []), *stages.values()])
    if draft.template is None:
        raise Refusal(f"{draft} has no template, so there are no past builds to estimate from.")
    if batch > 1 and draft.batch_saving:
        raise Refusal(
            f"{draft.title} already saves hours beside the first instrument, so hours of builds "
            "made side by side would save them twice. Take those of 1 build.",
            field="batch",
        )
    found = levels_for(draft.template, on=on, batch=batch, options=draft.options).stages
    rows = list(draft.stages.all())
    _check_rows(rows, stages, found)
    for row in rows:
        figures = found.get(row.template_stage_id or 0)
        if figures and row.pk in stages:
            _write(row, figures, figures.alone, stages[row.pk])
        elif figures and level and (by_hand or row.basis != BY_HAND):
            _write(row, figures, figures.shared or figures.alone, level)
    QuoteStage.objects.bulk_update(rows, FIELDS)
    return draft


def _check(levels: Collection[str]) -> None:
    if not levels:
        raise Refusal("Choose a level for the hours.", field="level")
    for level in levels:
        if level not in LEVELS:
            raise Refusal(
                f"“{level}” is not a level of the estimate. Use {', '.join(LEVELS)}.", field="level"
            )


def _check_rows(
    rows: Collection[QuoteStage], wanted: Collection[int], found: Mapping[int, StageLevels]
) -> None:
    reached = {row.pk for row in rows if row.template_stage_id in found}
    if set(wanted) - reached:
        raise Refusal(
            "One of these stages has no estimate: it is not part of this quote, or its template "
            "gives it no likely hours.",
            field="stages",
        )


def _write(row: QuoteStage, figures: StageLevels, hours: Mapping[str, Decimal], level: str) -> None:
    row.hours, row.hours_low, row.hours_high = hours[level], figures.low, figures.high
    row.basis = f"estimate, {LEVEL_WORDS[level]}, {_builds(figures.past)}"


def _builds(past: int) -> str:
    return "no past build" if not past else f"{past} past build{'s' if past > 1 else ''}"
