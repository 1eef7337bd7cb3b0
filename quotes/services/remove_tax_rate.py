"""Remove a tax rate that was entered by mistake."""

from django.db import transaction

from quotes.models import DatedTaxRate


@transaction.atomic
def remove_tax_rate(*, rate: DatedTaxRate) -> None:
    """Delete one dated rate; quotes and invoices keep what they were given."""
    rate.delete()
