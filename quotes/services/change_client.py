"""Change what is known of a client; papers that were sent keep what they said."""

from typing import Any

from django.db import transaction

from inventory.calc.official_numbers import check_tax_number
from inventory.refusals import Refusal
from quotes.calc.codes import check_currency
from quotes.models import Client


@transaction.atomic
def change_client(*, client: Client, **fields: Any) -> Client:
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
