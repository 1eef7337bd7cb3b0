"""Draft a quote: from a template, as a copy, or as the next version."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.base.locking import lock_order
from quotes.models import (
    Client,
    Commission,
    FamilyMarkup,
    PricingPolicy,
    Quote,
    QuoteExtra,
    QuoteFailure,
    QuoteMaterial,
    QuoteSpec,
    QuoteStage,
)
from quotes.pricing.queries.policy import moved_rate, policy_fields, rates_on, tax_fields
from quotes.quoting.bookkeeping import copy_rows, into_order
from quotes.quoting.services.hours import take_hours
from shop.models import BuildTemplate, TemplateFailure, TemplateLine, TemplateStage
from shop.patterns.calc import check_choices, with_missing
from shop.patterns.queries import on_by_default


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

    Every stage, line and row of the specification is copied, also those of options that are off, so
    that an option can be switched in the draft. Raises Refusal on an option that the template
    doesn't have, and on two of one choice.
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
    _copy_specs(quote, template, own_lines)


def _copy_specs(quote: Quote, template: BuildTemplate, lines: Sequence[QuoteMaterial]) -> None:
    line_of = {line.template_line_id: line for line in lines}
    QuoteSpec.objects.bulk_create(
        QuoteSpec(
            quote=quote,
            position=spec.position,
            name=spec.name,
            value=spec.value,
            unit=spec.unit,
            choices=spec.choices,
            is_asked=spec.is_asked,
            material=line_of.get(spec.line_id),
            option=spec.option.name if spec.option else "",
        )
        for spec in template.specs.select_related("option")
    )


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


NOT_COPIED = frozenset(
    {
        "id", "number", "version", "state", "drafted_on", "issued_on", "valid_until", "ready_on",
        "held_until", "decided_at", "decided_by", "decline_reason", "frozen", "gross", "document",
        "document_sha256", "build", "part_of", "place",
    }
)  # fmt: skip
"""Fields of a quote that belong to the one that was sent."""


@transaction.atomic
def copy_quote(
    *, quote: Quote, on: date, commission: Commission | None = None, title: str = ""
) -> Quote:
    """Return a draft with the rows of `quote`, for another commission if one is given.

    Its further instruments are copied with it; of what is itself one, the copy stands alone.
    """
    draft = copy_instrument(quote=quote, on=on, commission=commission, title=title)
    for one in quote.instruments[1:]:
        copied = copy_instrument(quote=one, on=on, commission=commission, title=one.title)
        into_order(draft, copied)
    return draft


@transaction.atomic
def copy_instrument(
    *, quote: Quote, on: date, commission: Commission | None = None, title: str = ""
) -> Quote:
    """Return a draft with the rows of one instrument, without further ones.

    Shop rate, markup, contingency, fees, price step and terms are today's policy; hours, lines,
    options and the client's money stay as quoted, unless it is for another client; tax
    rates that the shop has a name for are the day's. Chosen pieces are not copied.
    """
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    target = commission or quote.commission
    values = {
        field.name: getattr(quote, field.name)
        for field in Quote._meta.concrete_fields
        if field.name not in NOT_COPIED
    }
    values |= policy_fields(policy, target.client, has_failures=quote.failures.exists())
    values["prices_with_tax"] = quote.prices_with_tax
    before, now = rates_on(policy, quote.drafted_on), rates_on(policy, on)
    for name in ("tax_rate", "shipping_tax_rate"):
        values[name] = moved_rate(values[name], before, now)
    if target.client_id != quote.commission.client_id:
        values |= _money_of(target.client, quote, policy, on)
    values |= {"commission": target, "title": title or quote.title, "drafted_on": on}
    draft = Quote.objects.create(**values)
    copy_rows(quote, draft)
    draft.materials.update(lot=None)
    for rows in (draft.materials, draft.extras):
        _move_rates(rows.exclude(tax_rate=None), before, now)
    return draft


def _money_of(client: Client, quote: Quote, policy: PricingPolicy, on: date) -> dict[str, Any]:
    """Another client has a currency and a tax of their own; a rate is only kept for the same."""
    workshop = Workshop.objects.get()
    currency = client.currency or workshop.currency
    money: dict[str, Any] = tax_fields(policy, client, workshop, on)
    if currency != quote.currency:
        is_foreign = currency != workshop.currency
        money |= {
            "currency": currency,
            "exchange_rate": Decimal(1),
            "exchange_rate_on": None,
            "currency_buffer": policy.currency_buffer if is_foreign else Decimal(0),
            "client_step": Decimal(0),
        }
    return money


def _move_rates(
    rows: Iterable[QuoteMaterial | QuoteExtra], before: dict[str, Decimal], now: dict[str, Decimal]
) -> None:
    for row in rows:
        row.tax_rate = moved_rate(row.tax_rate, before, now)
        row.save(update_fields=["tax_rate"])


REVISABLE = {Quote.State.ISSUED, Quote.State.LAPSED, Quote.State.DECLINED}


@in_attempts
@transaction.atomic
def revise_quote(*, quote: Quote, on: date) -> Quote:
    """Return a draft under the same number with the next version.

    The old version stays good until the new one is issued. Raises Refusal for what was never sent,
    for what was accepted, and while another revision is still a draft.
    """
    old = lock_order(quote)
    if old.state not in REVISABLE:
        raise Refusal(
            f"{old} is {old.get_state_display()} and can't be revised. "
            "Edit a draft directly; after acceptance, offer a change order."
        )
    if not old.number:
        raise Refusal(f"{old} was never sent. Copy it instead.")
    versions = Quote.offers.filter(number=old.number)
    if versions.filter(state=Quote.State.DRAFT).exists():
        raise Refusal(f"{old.number} has a draft revision already. Edit that one.")
    draft = copy_quote(quote=old, on=on)
    draft.number = old.number
    draft.version = versions.aggregate(last=Max("version"))["last"] + 1
    draft.save(update_fields=["number", "version"])
    return draft
