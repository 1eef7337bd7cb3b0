"""A draft's hours beside what past builds say, level by level."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.refusals import Refusal
from quotes.models import Quote, QuoteStage
from quotes.pricing.queries.pricing import is_on
from shop.estimates.calc.quoting import LEVEL_WORDS, LEVELS
from shop.estimates.queries.estimates import StageLevels, levels_for
from shop.models import BuildTemplate
from shop.patterns.queries import plan_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Hours at one level; `more` is against what the draft has now."""

    key: str
    words: str
    promise: str
    hours: Decimal
    more: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class StageChoice:
    """One row of a draft, with its own hours at each level; none where no estimate reaches it."""

    row: QuoteStage
    is_on: bool
    levels: tuple[Level, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursChoice:
    """The hours of a draft as they are, and as they could be. refusal: why they couldn't."""

    stages: tuple[StageChoice, ...]
    hours: Decimal
    levels: tuple[Level, ...]
    whose: str
    refusal: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftHours:
    """What a new draft may begin with: the template's likely hours, or those of past builds."""

    likely: Decimal
    levels: tuple[Level, ...]
    past: int


def draft_hours(template: BuildTemplate, *, on: date) -> DraftHours | None:
    """Return both, with the options that are on as a rule; None while past builds are too few."""
    try:
        found = levels_for(template, on=on)
    except Refusal:
        return None
    if found.few:
        return None
    likely = plan_of(template).hours[1]
    return DraftHours(likely=likely, levels=_levels(found.totals, likely), past=found.past)


def hours_choice(quote: Quote, *, on: date, batch: int = 1) -> HoursChoice:
    """Return the stages of a draft with their estimates, for `batch` builds side by side."""
    found, refusal = None, ""
    try:
        if quote.template is None:
            raise Refusal(f"{quote} has no template, so there are no past builds to estimate from.")
        found = levels_for(quote.template, on=on, batch=batch, options=quote.options)
    except Refusal as error:
        refusal = error.sentence
    rows = list(quote.stages.all())
    now = sum((row.hours for row in rows if is_on(row, quote)), Decimal(0))
    own = found.stages if found else {}
    return HoursChoice(
        stages=tuple(_stage(row, quote, own) for row in rows),
        hours=now,
        levels=_levels(found.totals, now) if found else (),
        whose=found.whose if found else "",
        refusal=refusal,
    )


def _stage(row: QuoteStage, quote: Quote, own: Mapping[int, StageLevels]) -> StageChoice:
    figures = own.get(row.template_stage_id or 0)
    return StageChoice(
        row=row,
        is_on=is_on(row, quote),
        levels=_levels(figures.alone, row.hours) if figures else (),
    )


def _levels(hours: Mapping[str, Decimal], now: Decimal) -> tuple[Level, ...]:
    return tuple(
        Level(
            key=key,
            words=LEVEL_WORDS[key],
            promise=promise,
            hours=hours[key],
            more=hours[key] - now,
        )
        for key, promise in LEVELS.items()
    )
