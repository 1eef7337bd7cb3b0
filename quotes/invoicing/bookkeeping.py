"""Freezing what a receipt says."""

from quotes.base.calc.snapshot import as_data
from quotes.invoicing.documents import receipt_paper
from quotes.models import Payment


def freeze_receipt(payment: Payment) -> None:
    """Keep what the receipt of a payment says, whatever becomes of the shop and the client."""
    payment.frozen = as_data(receipt_paper(payment))
    payment.save(update_fields=["frozen"])
