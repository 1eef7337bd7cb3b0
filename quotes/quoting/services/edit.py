"""Edit a draft: its words, price, hours and options."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max, Q
from django.utils.text import capfirst

from inventory.base.attempts import in_attempts
from inventory.base.calc.money import round_money
from inventory.base.queries import home_currency, home_minor_unit
from inventory.base.refusals import Refusal
from inventory.ledger.services.issue import transfer_reservations
from quotes.base.calc.checks import NOT_NEGATIVE, check_currency, check_not_negative
from quotes.base.calc.snapshot import as_data, from_data
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_draft, lock_quote
from quotes.models import Quote, QuoteExtra
from quotes.papers.bookkeeping import freeze, rename_keys
from quotes.pricing.calc.asked_price import ask_price, net_of_asked
from quotes.pricing.calc.basis import PriceBasis
from quotes.pricing.calc.choices import options_chosen, with_choices
from quotes.pricing.calc.offer import Offer, read_parts
from quotes.pricing.calc.parts import payment_parts
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.calc.tax import taxed_from_net
from quotes.pricing.queries.choices import frozen_choices
from quotes.pricing.queries.pricing import (
    basis_of,
    costed_lines,
    policy_of,
    stages_on,
    with_further,
)
from quotes.pricing.queries.taxing import tax_rate_of
from quotes.quoting.bookkeeping import OF_THE_ORDER, ONCE, copy_rows
from shop.patterns.calc import check_choices

CHANGEABLE = frozenset(
    {
        "title", "specification", "options", "offered", "shop_rate", "material_markup",
        "contingency", "contingency_by", "rush", "fee_percent", "fee_fixed", "dealer_discount",
        "price_step", "prices_with_tax", "bought_tax_rate", "shipping", "tax_kind",
        "tax_rate", "shipping_tax_rate", "currency", "exchange_rate", "exchange_rate_on",
        "currency_buffer", "batch_saving",
        "client_step", "parts", "is_time_and_materials", "valid_days", "ready_on", "terms",
    }
)  # fmt: skip


@transaction.atomic
def edit_quote(*, quote: Quote, **fields: Any) -> Quote:
    """Write `fields` into a draft and return it.

    Raises NotADraft for what was sent, and Refusal on figures that can't be priced.
    """
    unknown = sorted(set(fields) - CHANGEABLE)
    if unknown:
        raise Refusal(f"A quote's {', '.join(unknown)} can't be edited.", field=unknown[0])
    draft = lock_draft(quote)
    moved = {name for name, value in fields.items() if getattr(draft, name) != value}
    for name, value in fields.items():
        setattr(draft, name, value)
    _check(draft, set(fields))
    _check_order(draft, moved)
    draft.save(update_fields=[*fields, "offered"])
    if common := {name: fields[name] for name in moved & set(OF_THE_ORDER)}:
        draft.further.update(**common)
    return draft


def _check_order(draft: Quote, moved: set[str]) -> None:
    """What an order has in common is edited at its first instrument."""
    if not 0 <= draft.batch_saving < 1:
        raise Refusal(
            "Give the hours saved as a share from 0 to below 100 %.", field="batch_saving"
        )
    if draft.part_of is not None:
        theirs = moved & {*OF_THE_ORDER, *ONCE, "is_time_and_materials"}
        if theirs:
            field = next(one for one in Quote._meta.fields if one.name in theirs)
            raise Refusal(
                f"“{capfirst(field.verbose_name)}” is set for the whole order. "
                f"Edit it at {draft.part_of.title}.",
                field=field.name,
            )
    elif draft.is_time_and_materials and draft.further.exists():
        raise Refusal(
            "An order of several instruments has a fixed price. Charge work by time and "
            "materials in a quote of its own.",
            field="is_time_and_materials",
        )


def _check(draft: Quote, changed: set[str]) -> None:
    check_not_negative({name: getattr(draft, name) for name in changed & NOT_NEGATIVE})
    if "parts" in changed:
        payment_parts(Decimal(100), read_parts(draft.parts))
    if changed & {"options", "offered"}:
        _check_options(draft)
    if changed & {"parts", "is_time_and_materials", "currency"} and draft.is_time_and_materials:
        _check_time_and_materials(draft)
    if changed & {"currency", "exchange_rate", "exchange_rate_on"}:
        _check_money(draft)
    draft.clean_fields(exclude=[f.name for f in draft._meta.fields if f.name not in changed])


def _check_time_and_materials(draft: Quote) -> None:
    if len(read_parts(draft.parts)) > 1:
        raise Refusal(
            "Work charged by time and materials is invoiced once, when it is done: "
            "set the payment plan to 100.",
            field="parts",
        )
    if draft.currency != home_currency():
        raise Refusal(
            f"Work charged by time and materials is invoiced in {home_currency()}.",
            field="currency",
        )


def _check_options(draft: Quote) -> None:
    known = set(draft.stages.values_list("option", flat=True))
    known |= set(draft.materials.values_list("option", flat=True))
    if draft.template:
        known |= set(draft.template.options.values_list("name", flat=True))
    for name in [*draft.options, *draft.offered]:
        if name not in known:
            raise Refusal(f"This quote has no option “{name}”.", field="options")
    check_choices(draft.options, draft.one_of)
    _offer_the_one_on(draft)


def _offer_the_one_on(draft: Quote) -> None:
    """Of a choice that is offered, the one that is on is among what is offered."""
    choices = {draft.one_of[name] for name in draft.offered if name in draft.one_of}
    on = [name for name in draft.options if draft.one_of.get(name) in choices]
    draft.offered = [*draft.offered, *(name for name in on if name not in draft.offered)]


def _check_money(draft: Quote) -> None:
    check_currency(draft.currency)
    home = home_currency()
    if draft.currency == home:
        draft.exchange_rate = Decimal(1)
        return
    if draft.exchange_rate <= 0 or draft.exchange_rate_on is None:
        raise Refusal(
            f"Give the exchange rate ({draft.currency} for 1 {home}, above 0) and its date.",
            field="exchange_rate",
        )


NAME = "Price set by hand"
LAST_CENTS = "Last cents of the price set by hand"


@transaction.atomic
def set_price(*, quote: Quote, amount: Decimal, is_gross: bool = False) -> Quote:
    """Add the own line that brings the instrument to `amount` in home money, without shipping.

    With `is_gross` the amount has the tax in it: what the client pays is more by just that. An
    earlier line of this kind is replaced; a price that is no multiple of the step takes the step
    away. Raises NotADraft, and Refusal on a price that can't be.
    """
    draft = lock_draft(quote)
    if is_gross and draft.currency != home_currency():
        raise Refusal(f"Set the price net, in {home_currency()}; it is then converted.")
    minor_unit = home_minor_unit()
    if amount <= 0 or amount % minor_unit:
        raise Refusal("Give a price above 0, in whole cents.", field="amount")
    forget_set_price(draft=draft)
    basis = _basis_of(draft, minor_unit)
    wanted = _net_of(draft, basis, amount, minor_unit) if is_gross else amount
    stepped = wanted
    if draft.prices_with_tax:
        stepped = (
            amount if is_gross else taxed_from_net(wanted, tax_rate_of(draft), minor_unit).gross
        )
    if draft.price_step and stepped % draft.price_step:
        draft.price_step = Decimal(0)
        draft.save(update_fields=["price_step"])
    asked = ask_price(basis, policy_of(draft), wanted, minor_unit)
    _add(draft, NAME, QuoteExtra.Kind.OWN, asked.line, minor_unit)
    if asked.last_cents:
        _add(draft, LAST_CENTS, QuoteExtra.Kind.CENTS, asked.last_cents, minor_unit)
    return draft


def forget_set_price(*, draft: Quote) -> None:
    """Delete the lines that brought a draft to a price set by hand."""
    draft.extras.filter(Q(name=NAME) | Q(kind=QuoteExtra.Kind.CENTS)).delete()


def _basis_of(draft: Quote, minor_unit: Decimal) -> PriceBasis:
    fresh = Quote.objects.get(pk=draft.pk)
    basis = basis_of(fresh, stages_on(fresh), costed_lines(fresh), fresh.extras.all(), minor_unit)
    return with_further(basis, fresh, minor_unit)


def _net_of(draft: Quote, basis: PriceBasis, gross: Decimal, minor_unit: Decimal) -> Decimal:
    policy = policy_of(draft)
    beside = build_price(basis, policy, minor_unit).document.lines[1:]
    return net_of_asked(round_money(gross, minor_unit), policy, beside, minor_unit)


def _add(draft: Quote, name: str, kind: str, net: Decimal, minor_unit: Decimal) -> None:
    cost = _as_typed(net, draft, minor_unit)
    QuoteExtra.objects.create(quote=draft, name=name, kind=kind, cost=cost)


def _as_typed(net: Decimal, draft: Quote, minor_unit: Decimal) -> Decimal:
    """An own line of a quote whose prices are typed with tax has it in it."""
    return (
        taxed_from_net(net, tax_rate_of(draft), minor_unit).gross if draft.prices_with_tax else net
    )


OF_ITS_OWN = frozenset(
    {"id", "version", "options", "offered", "frozen", "gross", "document", "document_sha256"}
)


@in_attempts
@atomic_with_files()
def choose_options(*, quote: Quote, wanted: Collection[str], on: date) -> Quote:
    """Return the version of an issued quote in which, of the options offered, `wanted` are on.

    That is the quote itself if they are so already. Otherwise it is a new version, issued `on`
    and frozen at once: rows, policy, pieces and last day are the old one's, each switched option
    has its frozen price, and what was held goes over to it. The old version is replaced. Raises
    Refusal on an option that was not offered.
    """
    old = lock_quote(quote)
    choices = frozen_choices(old)
    options = options_chosen(old.options, choices, wanted)
    # A second press of the same choice must not make a second version.
    if set(options) == set(old.options):
        return old
    # From the frozen figures, not today's prices: the client decides by what was shown.
    offer = with_choices(
        from_data(Offer, (old.frozen or {})["offer"]), choices, options, read_parts(old.parts)
    )
    new = _next_version(old, options, on)
    names = copy_rows(old, new)
    _replace(old, new, names)
    freeze(new, from_data(Offer, rename_keys(as_data(_in_order(offer, old)), names)))
    new.save()
    return new


def _in_order(offer: Offer, old: Quote) -> Offer:
    """Put the rows of switched options where they stand in the quote: a build is made by it."""
    keys = [f"stage:{row.pk}" for row in old.stages.all()]
    keys += [f"material:{row.pk}" for row in old.materials.all()]
    return replace(
        offer,
        stages=tuple(sorted(offer.stages, key=lambda row: keys.index(row.key))),
        materials=tuple(sorted(offer.materials, key=lambda row: keys.index(row.key))),
    )


def _next_version(old: Quote, options: list[str], on: date) -> Quote:
    fields = {
        field.name: getattr(old, field.name)
        for field in Quote._meta.concrete_fields
        if field.name not in OF_ITS_OWN
    }
    last = Quote.objects.filter(number=old.number).aggregate(last=Max("version"))["last"]
    fields |= {"version": last + 1, "options": options, "issued_on": on}
    return Quote.objects.create(**fields)


def _replace(old: Quote, new: Quote, names: dict[str, str]) -> None:
    rows = {
        name.replace("material:", "row:"): copy.replace("material:", "row:")
        for name, copy in names.items()
        if name.startswith("material:")
    }
    transfer_reservations(
        holder=old.holder,
        to=new.holder,
        to_name=f"quote {new}",
        lines=rows,
        until=new.held_until,
    )
    old.state, old.held_until = Quote.State.REPLACED, None
    old.save(update_fields=["state", "held_until"])
