"""Draft a quote: the template's stages and materials and the shop's policy, copied in."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.models import Workshop
from inventory.refusals import Refusal
from quotes.models import (
    Commission,
    FamilyMarkup,
    PricingPolicy,
    Quote,
    QuoteFailure,
    QuoteMaterial,
    QuoteStage,
)
from quotes.queries.policy import policy_fields, tax_fields
from quotes.services.take_hours import take_hours
from shop.calc.options import check_choices, with_missing
from shop.models import BuildTemplate, TemplateFailure, TemplateLine, TemplateStage
from shop.queries.templates import on_by_default


@transaction.atomic
def draft_quote(
    *,
    commission: Commission,
    on: date,
    template: BuildTemplate | None = None,
    title: str = "",
    options: Sequence[str] | None = None,
    specification: str = "",
    level: str = "",
) -> Quote:
    """Return a new draft; without `options` those of the template that are on as a rule.

    A choice that `options` leave open takes its usual one. Hours are the template's likely ones, or
    with `level` those of past builds at that level.

    Every stage and line is copied, also those of options that are off, so that an option can be
    switched in the draft. Raises Refusal on an option that the template doesn't have, and on two of
    one choice.
    """
    workshop = Workshop.objects.get()
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    client = commission.client
    currency = client.currency or workshop.currency
    failures = _failures_of(template)
    quote = Quote.objects.create(
        commission=commission,
        template=template,
        title=title or commission.title,
        options=_options(template, options),
        one_of=_choices(template),
        specification=specification,
        currency=currency,
        currency_buffer=policy.currency_buffer if currency != workshop.currency else Decimal(0),
        shipping=policy.shipping,
        parts=policy.parts,
        drafted_on=on,
        **policy_fields(policy, client, has_failures=bool(failures)),
        **tax_fields(policy, client, workshop, on),
    )
    if template:
        _copy_template(quote, template, failures)
        if level:
            take_hours(quote=quote, on=on, level=level)
    return quote


def _options(template: BuildTemplate | None, wanted: Sequence[str] | None) -> list[str]:
    offered = list(template.options.all()) if template else []
    usual = on_by_default(offered)
    if wanted is None:
        return usual
    names = {option.name for option in offered}
    for name in wanted:
        if name not in names:
            raise Refusal(f"{template} has no option “{name}”.", field="options")
    one_of = _choices(template)
    on = with_missing(wanted, one_of, usual)
    check_choices(on, one_of)
    return on


def _choices(template: BuildTemplate | None) -> dict[str, str]:
    offered = template.options.all() if template else ()
    return {option.name: option.one_of for option in offered if option.one_of}


def _failures_of(template: BuildTemplate | None) -> list[TemplateFailure]:
    rows = TemplateFailure.objects.filter(stage__template=template or 0)
    return list(rows.prefetch_related("lost"))


def _copy_template(
    quote: Quote, template: BuildTemplate, failures: Sequence[TemplateFailure]
) -> None:
    stages = template.stages.select_related("option")
    lines = template.lines.select_related("option")
    markups = dict(FamilyMarkup.objects.values_list("family_id", "markup"))
    own_stages = QuoteStage.objects.bulk_create(_stage(quote, stage) for stage in stages)
    own_lines = QuoteMaterial.objects.bulk_create(
        _material(quote, line, markups.get(line.family_id)) for line in lines
    )
    _copy_failures(quote, failures, own_stages, own_lines)


def _copy_failures(
    quote: Quote,
    failures: Sequence[TemplateFailure],
    stages: Sequence[QuoteStage],
    lines: Sequence[QuoteMaterial],
) -> None:
    stage_of = {stage.template_stage_id: stage for stage in stages}
    line_of = {line.template_line_id: line for line in lines}
    for failure in failures:
        copy = QuoteFailure.objects.create(
            quote=quote,
            stage=stage_of[failure.stage_id],
            name=failure.name,
            one_in=failure.one_in,
            hours=failure.hours,
            redo_from=stage_of.get(failure.redo_from_id),
        )
        copy.lost.set(line_of[line.pk] for line in failure.lost.all())


def _stage(quote: Quote, stage: TemplateStage) -> QuoteStage:
    return QuoteStage(
        quote=quote,
        template_stage=stage,
        position=stage.position,
        name=stage.name,
        hours=stage.hours_likely,
        hours_low=stage.hours_low,
        hours_high=stage.hours_high,
        waiting_days=stage.waiting_days,
        option=stage.option.name if stage.option else "",
    )


def _material(quote: Quote, line: TemplateLine, markup: Decimal | None) -> QuoteMaterial:
    return QuoteMaterial(
        quote=quote,
        template_line=line,
        position=line.position,
        name=line.name,
        family_id=line.family_id,
        material_id=line.material_id,
        quantity=line.quantity,
        unit=line.unit,
        seed_cost=line.cost_likely,
        markup=markup,
        waste_rule=line.waste_rule,
        waste_rate=line.waste_rate,
        spares=line.spares,
        cut_length_mm=line.cut_length_mm,
        stock_length_mm=line.stock_length_mm,
        kerf_mm=line.kerf_mm,
        least_remnant_mm=line.least_remnant_mm,
        option=line.option.name if line.option else "",
    )
