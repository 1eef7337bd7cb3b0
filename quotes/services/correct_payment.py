"""Correct a payment that was recorded by mistake: a counter-payment takes it back."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from inventory.services.next_number import next_number
from quotes.calc.numbering import DocumentNumber
from quotes.freezing import freeze_receipt
from quotes.models import Payment


@transaction.atomic
def correct_payment(*, payment: Payment, why: str, now: datetime, user: Any = None) -> Payment:
    """Return the counter-payment, dated like the first. Raises Refusal the second time."""
    locked = Payment.objects.select_for_update(of=("self",)).get(pk=payment.pk)
    if Payment.objects.filter(counter_to=locked).exists():
        raise Refusal(f"{locked.number} is corrected already.")
    if locked.counter_to_id:
        raise Refusal(f"{locked.number} is itself a correction. Record the payment anew.")
    year = locked.received_on.year
    number = DocumentNumber("R", year, next_number(series=f"receipt:{year}"))
    made = Payment.objects.create(
        client=locked.client,
        commission=locked.commission,
        invoice=locked.invoice,
        number=str(number),
        received_on=locked.received_on,
        currency=locked.currency,
        amount=-locked.amount,
        home=-locked.home,
        fee=-locked.fee,
        way=locked.way,
        note=why[:200],
        recorded_at=now,
        recorded_by=user,
        counter_to=locked,
    )
    freeze_receipt(made)
    return made
