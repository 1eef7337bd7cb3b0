"""Change a draft: its words, its options, its policy figures, its money."""

from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.money import home_currency
from inventory.refusals import Refusal
from quotes.calc.codes import check_currency
from quotes.calc.offer import read_parts
from quotes.calc.parts import payment_parts
from quotes.locking import lock_draft
from quotes.models import Quote
from shop.calc.options import check_choices

CHANGEABLE = frozenset(
    {
        "title", "specification", "options", "offered", "shop_rate", "material_markup",
        "contingency", "contingency_by", "rush", "fee_percent", "fee_fixed", "dealer_discount",
        "price_step", "prices_with_tax", "bought_tax_rate", "shipping", "tax_kind",
        "tax_rate", "shipping_tax_rate", "currency", "exchange_rate", "exchange_rate_on",
        "currency_buffer",
        "client_step", "parts", "valid_days", "ready_on", "terms",
    }
)  # fmt: skip


@transaction.atomic
def change_quote(*, quote: Quote, **fields: Any) -> Quote:
    """Write `fields` into a draft and return it.

    Raises NotADraft for what was sent, and Refusal on figures that can't be priced.
    """
    unknown = sorted(set(fields) - CHANGEABLE)
    if unknown:
        raise Refusal(f"A quote's {', '.join(unknown)} can't be changed.", field=unknown[0])
    draft = lock_draft(quote)
    for name, value in fields.items():
        setattr(draft, name, value)
    _check(draft, set(fields))
    draft.save(update_fields=[*fields, "offered"])
    return draft


def _check(draft: Quote, changed: set[str]) -> None:
    if "parts" in changed:
        payment_parts(Decimal(100), read_parts(draft.parts))
    if changed & {"options", "offered"}:
        _check_options(draft)
    if changed & {"currency", "exchange_rate", "exchange_rate_on"}:
        _check_money(draft)
    draft.clean_fields(exclude=[f.name for f in draft._meta.fields if f.name not in changed])


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
            f"Give how many {draft.currency} one {home} buys, above 0, and the date of that rate.",
            field="exchange_rate",
        )
