"""Payments recorded and reversed."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.calc.money import check_whole_units, in_home_money
from inventory.base.people import Person, signed_in
from inventory.base.queries import home_currency, home_minor_unit
from inventory.base.refusals import Refusal, check_happened
from inventory.base.services import next_number
from quotes.base.calc.checks import check_currency
from quotes.base.calc.numbering import DocumentNumber
from quotes.invoicing.bookkeeping import freeze_receipt, settle_invoice
from quotes.models import Client, Commission, Invoice, Payment


@in_attempts
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
    fee_currency: str = "",
    way: str = Payment.Way.TRANSFER,
    invoice: Invoice | None = None,
    commission: Commission | None = None,
    note: str = "",
    user: Person | None = None,
) -> Payment:
    """Return the payment; `amount` below 0 is a refund, without an invoice it is on account.

    What came in is always recorded, also beyond what is owed. `exchange_rate` is how much of
    `currency` one of home money bought that day. `fee` is in `fee_currency`, the payment's or home
    money (also where it is empty), and turns into home money at the payment's rate. Raises Refusal
    on an amount of 0, a foreign payment without a rate, a fee larger than the payment, a day that
    was not yet, or an invoice of another client or currency.
    """
    home = home_currency()
    currency = currency or (invoice.currency if invoice else client.currency) or home
    check_currency(currency)
    if not amount:
        raise Refusal("Give an amount other than 0.", field="amount")
    check_whole_units(amount, currency)
    check_happened(received_on, now, "received_on")
    if invoice is not None:
        _check_invoice(invoice, client, currency)
        commission = commission or invoice.commission
    at_home = amount if currency == home else _at_rate(amount, currency, exchange_rate)
    is_foreign_fee = _is_foreign_fee(fee_currency, currency, home)
    if is_foreign_fee:
        _check_fee(fee, amount, currency)
    fee_at_home = _at_rate(fee, currency, exchange_rate) if is_foreign_fee else fee
    _check_fee(fee_at_home, at_home, home)
    made = Payment.objects.create(
        client=client,
        commission=commission,
        invoice=invoice,
        number=_receipt_number(received_on),
        received_on=received_on,
        currency=currency,
        amount=amount,
        home=at_home,
        fee=fee_at_home,
        foreign_fee=fee if is_foreign_fee else None,
        way=way,
        note=note,
        recorded_at=now,
        recorded_by=signed_in(user),
    )
    settle_invoice(made.invoice, made.amount)
    freeze_receipt(made)
    return made


def _is_foreign_fee(fee_currency: str, currency: str, home: str) -> bool:
    if fee_currency not in ("", currency, home):
        raise Refusal(f"The fee was kept in {currency} or in {home}.", field="fee_currency")
    return fee_currency == currency != home


def _check_fee(fee: Decimal, paid: Decimal, currency: str) -> None:
    check_whole_units(fee, currency, "fee")
    if not 0 <= fee <= abs(paid):
        raise Refusal(
            f"A fee is from 0 to the payment itself, here {abs(paid)} {currency}.", field="fee"
        )


def _check_invoice(invoice: Invoice, client: Client, currency: str) -> None:
    if invoice.commission.client_id != client.pk:
        raise Refusal(f"{invoice} was sent to {invoice.commission.client}.", field="invoice")
    if invoice.currency != currency:
        raise Refusal(f"{invoice} asks for {invoice.currency}, not {currency}.", field="currency")


def _at_rate(amount: Decimal, currency: str, rate: Decimal | None) -> Decimal:
    if rate is None or rate <= 0:
        raise Refusal(
            f"Give the day's exchange rate ({currency} for 1 {home_currency()}).",
            field="exchange_rate",
        )
    return in_home_money(amount, rate, home_minor_unit())


def _receipt_number(received_on: date) -> str:
    year = received_on.year
    return str(DocumentNumber("R", year, next_number(series=f"receipt:{year}")))


@in_attempts
@transaction.atomic
def correct_payment(
    *, payment: Payment, why: str, now: datetime, user: Person | None = None
) -> Payment:
    """Return the counter-payment, dated like the first. Raises Refusal the second time."""
    locked = Payment.objects.select_for_update(of=("self",)).get(pk=payment.pk)
    if Payment.objects.filter(counter_to=locked).exists():
        raise Refusal(f"{locked.number} is already reversed.")
    if locked.counter_to_id:
        raise Refusal(f"{locked.number} is itself a reversal. Record a new payment.")
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
        foreign_fee=None if locked.foreign_fee is None else -locked.foreign_fee,
        way=locked.way,
        note=why[:200],
        recorded_at=now,
        recorded_by=signed_in(user),
        counter_to=locked,
    )
    settle_invoice(made.invoice, made.amount)
    freeze_receipt(made)
    return made
