"""Clients added and edited, commissions opened."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.base.calc.official_numbers import check_tax_number
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import check_currency
from quotes.models import Client, Commission


@transaction.atomic
def add_client(
    *,
    name: str,
    kind: str = Client.Kind.PLAYER,
    email: str = "",
    phone: str = "",
    address: str = "",
    country: str = "",
    currency: str = "",
    tax_number: str = "",
    note: str = "",
) -> Client:
    """Return a new client. An empty currency means home money.

    Raises Refusal without a name, on a currency that ISO 4217 doesn't know, and on a mistyped tax
    number.
    """
    if not name.strip():
        raise Refusal("A client needs a name.", field="name")
    if currency:
        check_currency(currency.upper())
    if tax_number:
        check_tax_number(tax_number, country.upper())
    return Client.objects.create(
        name=name.strip(),
        kind=kind,
        email=email,
        phone=phone,
        address=address,
        country=country.upper(),
        currency=currency.upper(),
        tax_number=tax_number,
        note=note,
    )


@transaction.atomic
def edit_client(*, client: Client, **fields: Any) -> Client:
    """Write `fields` and return the client. Raises Refusal without a name and on
    a mistyped currency or tax number.
    """
    locked = Client.objects.select_for_update().get(pk=client.pk)
    for name, value in fields.items():
        setattr(locked, name, value.upper() if name in {"country", "currency"} else value)
    if not locked.name.strip():
        raise Refusal("A client needs a name.", field="name")
    if locked.currency:
        check_currency(locked.currency)
    if locked.tax_number and {"tax_number", "country"} & set(fields):
        check_tax_number(locked.tax_number, locked.country)
    locked.save(update_fields=list(fields))
    return locked


@transaction.atomic
def open_commission(*, client: Client, title: str, asked_on: date, note: str = "") -> Commission:
    """Return a new commission that is being talked about."""
    if not title.strip():
        raise Refusal("Give the commission a title.", field="title")
    return Commission.objects.create(
        client=client, title=title.strip(), asked_on=asked_on, note=note
    )
