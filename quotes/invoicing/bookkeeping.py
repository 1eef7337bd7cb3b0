"""Freezing what a receipt says, and keeping what of an invoice is not settled."""

from decimal import Decimal

from django.db.models import F

from inventory.fields import money_value
from quotes.base.calc.snapshot import as_data
from quotes.invoicing.documents import receipt_paper
from quotes.models import Invoice, Payment


def freeze_receipt(payment: Payment) -> None:
    """Keep what the receipt of a payment says, whatever becomes of the shop and the client."""
    payment.frozen = as_data(receipt_paper(payment))
    payment.save(update_fields=["frozen"])


def settle_invoice(invoice: Invoice | None, amount: Decimal) -> None:
    """Take `amount` off what is unsettled of an invoice, where money or a credit note names one."""
    if invoice is not None:
        left = F("unsettled") - money_value(amount)
        Invoice.objects.filter(pk=invoice.pk).update(unsettled=left)
