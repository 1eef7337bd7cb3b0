"""Suppliers' bills: entered, corrected, void, paid, and the deliveries that they cover."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Q

from inventory.base.calc.money import (
    LARGEST_AMOUNT,
    check_whole_units,
    in_home_money,
    is_currency,
    minor_unit_of,
)
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal, check_happened
from inventory.models import Bill, Delivery, Supplier
from inventory.purchasing.queries.deliveries import still_stands


@dataclass(frozen=True, slots=True, kw_only=True)
class NewBill:
    """A bill as it stands on paper, in its own `currency`, an ISO code or empty for home money.

    `rate` is foreign money for one of home. `gross` is checked where it is given. Without `due_on`
    it is due at once. A credit note's amounts are below 0.
    """

    supplier: Supplier
    number: str
    billed_on: date
    net: Decimal
    tax: Decimal = Decimal(0)
    gross: Decimal | None = None
    currency: str = ""
    rate: Decimal | None = None
    due_on: date | None = None
    paid_on: date | None = None
    note: str = ""
    deliveries: Sequence[Delivery] = ()


@transaction.atomic
def enter_bill(*, bill: NewBill, now: datetime) -> Bill:
    """Write `bill` into the book of purchases, and tie the deliveries to it that it covers.

    Raises Refusal where its sums don't add up, where its number was entered already, or where a
    delivery is another supplier's or on another bill.
    """
    home = home_currency()
    code = bill.currency or home
    _check_amounts(bill, code)
    due_on = _checked_days(bill, now)
    home_net, home_tax = _in_home_money(bill, code, home)
    try:
        with transaction.atomic():
            row = Bill.objects.create(
                supplier=bill.supplier,
                number=bill.number.strip(),
                billed_on=bill.billed_on,
                due_on=due_on,
                currency=code,
                rate=None if code == home else bill.rate,
                net=bill.net,
                tax=bill.tax,
                home_net=home_net,
                home_tax=home_tax,
                paid_on=bill.paid_on,
                note=bill.note,
            )
    except IntegrityError:
        raise Refusal(
            f"Bill {bill.number.strip()} of {bill.supplier} was entered already.", field="number"
        ) from None
    cover_deliveries(bill=row, deliveries=bill.deliveries)
    return row


@transaction.atomic
def correct_bill(*, bill: Bill, right: NewBill, why: str, now: datetime) -> Bill:
    """Make `bill` void, with the reason, and enter the `right` one in its place.

    Raises Refusal as `void_bill` and `enter_bill` do.
    """
    void_bill(bill=bill, why=why)
    return enter_bill(bill=right, now=now)


@transaction.atomic
def void_bill(*, bill: Bill, why: str) -> Bill:
    """Take a bill that was entered by mistake out of all sums; it stays in sight with the reason.

    Its deliveries can be put on another bill. Raises Refusal where it is void already.
    """
    row = _standing(bill)
    if not why.strip():
        raise Refusal("Enter the reason why the bill is void.", field="why")
    row.void_why = why.strip()
    row.save(update_fields=["void_why"])
    Delivery.objects.filter(bill=row).update(bill=None)
    return row


@transaction.atomic
def pay_bill(*, bill: Bill, paid_on: date | None, now: datetime) -> Bill:
    """Note on which day `bill` was paid; None says that it is not paid after all.

    Raises Refusal for a void bill.
    """
    row = _standing(bill)
    if paid_on is not None:
        check_happened(paid_on, now, "paid_on")
    row.paid_on = paid_on
    row.save(update_fields=["paid_on"])
    return row


@transaction.atomic
def cover_deliveries(*, bill: Bill, deliveries: Sequence[Delivery]) -> Bill:
    """Choose the deliveries that `bill` covers: these, and no others.

    Raises Refusal for a delivery of another supplier, one on another bill, or one reversed.
    """
    row = _standing(bill)
    keys = {one.pk for one in deliveries}
    Delivery.objects.filter(bill=row).exclude(pk__in=keys).update(bill=None)
    fit = Delivery.objects.filter(Q(supplier=row.supplier_id) | Q(supplier=None), pk__in=keys)
    if fit.count() < len(keys):
        raise Refusal(
            f"A bill of {row.supplier} covers deliveries of {row.supplier} only.",
            field="deliveries",
        )
    if gone := fit.exclude(still_stands()).select_related("supplier").first():
        raise Refusal(f"{gone} was reversed.", field="deliveries")
    # One statement: two bills entered at once can't both have the delivery.
    if fit.filter(Q(bill=None) | Q(bill=row)).update(bill=row) < len(keys):
        other = fit.exclude(bill=row).select_related("bill__supplier").first()
        on = f" {other.bill.number}" if other and other.bill else ""
        raise Refusal(f"{other} is on bill{on} already.", field="deliveries")
    return row


def _standing(bill: Bill) -> Bill:
    row = Bill.objects.select_for_update(of=("self",)).select_related("supplier").get(pk=bill.pk)
    if row.is_void:
        raise Refusal(f"Bill {row.number} is void: {row.void_why}")
    return row


def _check_amounts(bill: NewBill, code: str) -> None:
    if not is_currency(code):
        raise Refusal(f"“{code}” is not an ISO 4217 currency code, such as USD.", field="currency")
    for name in ("net", "tax", "gross"):
        check_whole_units(getattr(bill, name) or Decimal(0), code, field=name)
    whole = bill.net + bill.tax
    if bill.gross is not None and bill.gross != whole:
        raise Refusal(
            f"{bill.net} net and {bill.tax} tax make {whole}, not {bill.gross}.", field="gross"
        )
    if not bill.net and not bill.tax:
        raise Refusal("Enter what the bill comes to.", field="net")
    if bill.net * bill.tax < 0:
        raise Refusal(
            "Net and tax are both above 0 on a bill, both below 0 on a credit note.", field="tax"
        )


def _checked_days(bill: NewBill, now: datetime) -> date:
    """Return the day on which `bill` is due."""
    check_happened(bill.billed_on, now, "billed_on")
    if bill.paid_on:
        check_happened(bill.paid_on, now, "paid_on")
    if bill.due_on and bill.due_on < bill.billed_on:
        raise Refusal("The due day is before the day of the bill.", field="due_on")
    return bill.due_on or bill.billed_on


def _in_home_money(bill: NewBill, code: str, home: str) -> tuple[Decimal, Decimal]:
    """Return net and tax in home money, each rounded on its own."""
    if code == home:
        return bill.net, bill.tax
    if bill.rate is None:
        raise Refusal(
            f"A bill in {code} needs the exchange rate: {code} to one of your own currency.",
            field="rate",
        )
    smallest = minor_unit_of(home)
    net, tax = (in_home_money(amount, bill.rate, smallest) for amount in (bill.net, bill.tax))
    if max(abs(net), abs(tax)) > LARGEST_AMOUNT:
        raise Refusal(f"At this rate the bill comes to {abs(net)} {home}: check it.", field="rate")
    return net, tax
