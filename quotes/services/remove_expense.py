"""Remove an expense that was noted by mistake."""

from django.db import transaction

from quotes.models import Expense


@transaction.atomic
def remove_expense(*, expense: Expense) -> None:
    """Delete the expense; a close-out that was kept before stays as it is."""
    expense.delete()
