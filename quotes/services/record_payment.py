"""Record money that came in, or that went back."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.money import home_currency, home_unit
from inventory.refusals import Refusal
from inventory.services.next_number import next_number
from quotes.calc.codes import check_currency
from quotes.calc.currency import home_value
from quotes.calc.numbering import DocumentNumber
from quotes.freezing import freeze_receipt
from quotes.models import Client, Commission, Invoice, Payment


@transaction.atomic
def record_payment(
    *,
    client: Client,
    amount: Decimal,
    received_on: date,
    now: datetime,
    currency: str = "",
    exchange_rate: Decimal | None = None,
    fee: Decimal = Decimal(0),
    way: str = Payment.Way.TRANSFER,
    invoice: Invoice | None = None,
    commission: Commission | None = None,
    note: str = "",
    user: Any = None,
) -> Payment:
    """Return the payment; `amount` below 0 is a refund, without an invoice it is on account.

    What came in is always recorded, also beyond what is owed. `exchange_rate` is how much of
    `currency` one of home money bought that day. Raises Refusal on an amount of 0, a foreign
    payment without a rate, or an invoice of another client or currency.
    """
    home = home_currency()
    currency = currency or (invoice.currency if invoice else client.currency) or home
    check_currency(currency)
    if not amount:
        raise Refusal("Nothing came in; give an amount.", field="amount")
    if invoice is not None:
        _check_invoice(invoice, client, currency)
        commission = commission or invoice.commission
    made = Payment.objects.create(
        client=client,
        commission=commission,
        invoice=invoice,
        number=_receipt_number(received_on),
        received_on=received_on,
        currency=currency,
        amount=amount,
        home=amount if currency == home else _at_rate(amount, currency, exchange_rate),
        fee=fee,
        way=way,
        note=note,
        recorded_at=now,
        recorded_by=user,
    )
    freeze_receipt(made)
    return made


def _check_invoice(invoice: Invoice, client: Client, currency: str) -> None:
    if invoice.commission.client_id != client.pk:
        raise Refusal(f"{invoice} was sent to {invoice.commission.client}.", field="invoice")
    if invoice.currency != currency:
        raise Refusal(f"{invoice} asks for {invoice.currency}, not {currency}.", field="currency")


def _at_rate(amount: Decimal, currency: str, rate: Decimal | None) -> Decimal:
    if rate is None or rate <= 0:
        raise Refusal(
            f"Give the day's rate: how many {currency} one {home_currency()} bought.",
            field="exchange_rate",
        )
    return home_value(amount, rate, home_unit())


def _receipt_number(received_on: date) -> str:
    year = received_on.year
    return str(DocumentNumber("R", year, next_number(series=f"receipt:{year}")))
