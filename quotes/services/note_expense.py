"""Note what outside work or shipping of a build really cost."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.refusals import Refusal
from quotes.models import Expense
from shop.models import Build


@transaction.atomic
def note_expense(
    *, build: Build, kind: str, amount: Decimal, paid_on: date, about: str = ""
) -> Expense:
    """Return the expense; from the first of its kind on, what was quoted for it counts no more.

    Raises Refusal on an amount below 0 and on another kind than outside work or shipping.
    """
    if amount < 0:
        raise Refusal("What was paid is 0 or more.", field="amount")
    if kind not in Expense.Kind.values:
        raise Refusal("An expense is for outside work or for shipping.", field="kind")
    return Expense.objects.create(
        build=build, kind=kind, amount=amount, paid_on=paid_on, about=about.strip()
    )
