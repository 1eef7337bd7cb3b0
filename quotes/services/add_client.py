"""Add a client to the book."""

from django.db import transaction

from inventory.calc.official_numbers import check_tax_number
from inventory.refusals import Refusal
from quotes.calc.codes import check_currency
from quotes.models import Client


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
