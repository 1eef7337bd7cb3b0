"""What a closed commission brought: money in by day and rate, fees, tax, profit three ways."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from django.db.models import Sum

from inventory.base.calc.money import in_home_money, minor_unit_of, round_money
from inventory.base.queries import home_minor_unit
from quotes.base.calc.checks import HUNDRED
from quotes.closing.calc.close_out import Earnings, Profits, StageOutcome, three_profits
from quotes.closing.calc.sheet import ChangeOutcome, MoneyIn, MoneyOut, MoneyOutcome, SoFar
from quotes.closing.queries.materials import BuildMaterials
from quotes.closing.queries.order_share import OrderShare, share_in_order
from quotes.invoicing.queries.invoices import standing_invoices
from quotes.models import Change, Expense, Invoice, Payment, Quote, QuoteExtra
from quotes.pricing.calc.currency import Receipt, currency_result
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.taxing import taxed_change
from quotes.shop_rate.queries import overhead_per_hour
from shop.models import Build, TimeShare

NOTHING = Decimal(0)


def money_outcome(
    quote: Quote,
    build: Build,
    offer: Offer,
    stages: Sequence[StageOutcome],
    materials: BuildMaterials,
) -> MoneyOutcome:
    """Gather the money side of a commission, as the books stand now.

    While invoices are open or parts are not invoiced, what is quoted and agreed counts as received.
    Of an order of several instruments, each has its share of the money.
    """
    share = share_in_order(quote, offer, build.made_on)
    payments = list(Payment.objects.filter(commission=quote.commission_id))
    invoices = list(Invoice.objects.filter(commission=quote.commission_id))
    changes = list(quote.changes.all())
    receipts = tuple(share.of_receipt(_money_in(payment, quote)) for payment in payments)
    expenses = tuple(_money_out(expense) for expense in build.expenses.all())
    asked = sum((invoice.gross for invoice in invoices), NOTHING)
    beyond = sum((payment.amount for payment in payments), NOTHING) - asked
    beyond -= _to_invoice(share)
    is_paid = bool(payments) and beyond >= 0
    too_much = in_home_money(beyond, quote.exchange_rate, home_minor_unit()) if is_paid else NOTHING
    too_much = share.of(too_much)
    tax = share.of(sum((invoice.home_tax for invoice in invoices), NOTHING))
    home = sum((row.home for row in receipts), NOTHING) - too_much
    expected = share.of(_expected_home(share) + _taken_off(invoices))
    received = home - tax if is_paid else expected
    costs = _costs(quote, share, expenses, receipts if is_paid else ())
    idle = _unbilled_hours(build)
    hours = sum((stage.actual for stage in stages), NOTHING)
    earnings = _earnings(received, hours, idle, materials.cost, costs)
    at_the_end = sum((stage.at_the_end for stage in stages), NOTHING)
    return MoneyOutcome(
        receipts=tuple(sorted(receipts, key=lambda row: row.received_on)),
        changes=tuple(_change(change) for change in changes),
        is_paid=is_paid,
        received=received,
        tax=tax,
        earnings=earnings,
        profits=_profits(earnings, materials, quote, received),
        expenses=expenses,
        too_much=too_much,
        so_far=_so_far(receipts, expenses, materials, hours) if build.is_open else None,
        forecast=_earnings(received, at_the_end, idle, materials.cost_at_the_end, costs)
        if build.is_open
        else None,
    )


def _money_out(expense: Expense) -> MoneyOut:
    return MoneyOut(
        kind=expense.kind, words=f"{expense}", amount=expense.amount, paid_on=expense.paid_on
    )


def _costs(
    quote: Quote, share: OrderShare, expenses: Iterable[MoneyOut], receipts: Sequence[MoneyIn]
) -> dict[str, Decimal]:
    """What fees, outside work and shipping cost: as paid where that is known, or as quoted."""
    sheet = share.own.sheet
    costs = {
        "fees": share.of(share.offer.sheet.amount("fees")),
        "outside": sheet.cost_of("outside") + sheet.cost_of("packing") + _bought_beside(quote),
        "shipping": sheet.amount("shipping"),
    }
    paid = {"fees": sum((row.fee for row in receipts), NOTHING)} if receipts else {}
    for row in expenses:
        paid[row.kind] = paid.get(row.kind, NOTHING) + row.amount
    return costs | paid


def _bought_beside(quote: Quote) -> Decimal:
    """What was bought to be sold beside the instrument, at cost; materials are counted as drawn."""
    bought = {QuoteExtra.Kind.OUTSIDE, QuoteExtra.Kind.PACKING}
    rows = (row for row in quote.extras.all() if row.tax_kind and row.kind in bought)
    return sum((row.cost for row in rows), NOTHING)


def _money_in(payment: Payment, quote: Quote) -> MoneyIn:
    receipt = Receipt(received_on=payment.received_on, amount=payment.amount, home=payment.home)
    reached = replace(
        receipt,
        amount=payment.amount - fee_in_currency(payment),
        home=payment.home - payment.fee,
    )
    is_foreign = payment.currency == quote.currency and quote.exchange_rate_on is not None
    gain, reached_gain = (
        currency_result([one] if is_foreign else [], quote.exchange_rate, home_minor_unit()).gain
        for one in (receipt, reached)
    )
    return MoneyIn(
        received_on=payment.received_on,
        number=payment.number,
        currency=payment.currency,
        amount=payment.amount,
        home=payment.home,
        fee=payment.fee,
        gain=gain,
        reached_gain=reached_gain,
        foreign_fee=payment.foreign_fee,
    )


def fee_in_currency(payment: Payment) -> Decimal:
    """Return the fee of a payment in the payment's own currency, at its rate."""
    if payment.foreign_fee is not None:
        return payment.foreign_fee
    if not payment.fee or not payment.home:
        return NOTHING
    exact = payment.fee * payment.amount / payment.home
    return round_money(exact, minor_unit_of(payment.currency))


def _billed(changes: Iterable[Change]) -> Decimal:
    agreed = (one for one in changes if one.state == Change.State.AGREED and one.is_billed)
    return sum((change.price for change in agreed), NOTHING)


def _to_invoice(share: OrderShare) -> Decimal:
    """What of an order's price and of agreed changes has no invoice that stands, gross."""
    standing = [
        row
        for one in share.order.instruments
        for row in standing_invoices(one).values_list("part", "change")
    ]
    parts, done = {part for part, _ in standing}, {change for _, change in standing}
    left = [part.amount for place, part in enumerate(share.offer.parts) if place not in parts]
    left += [
        taxed_change(change).due
        for change in share.changes
        if change.state == Change.State.AGREED and change.is_billed and change.pk not in done
    ]
    return sum(left, NOTHING)


def _expected_home(share: OrderShare) -> Decimal:
    billed = _billed(share.changes)
    return share.offer.sheet.net + in_home_money(
        billed, share.order.exchange_rate, home_minor_unit()
    )


def _taken_off(invoices: Sequence[Invoice]) -> Decimal:
    """What credit notes took off invoices that still stand, net and below 0.

    An invoice that was taken back as a whole can be issued anew, so its part is still expected.
    """
    left = {invoice.pk: invoice.gross for invoice in invoices}
    notes = [invoice for invoice in invoices if invoice.credits_id]
    for note in notes:
        left[note.credits_id or 0] += note.gross
    return sum((note.home_net for note in notes if left[note.credits_id or 0] > 0), NOTHING)


def _change(change: Change) -> ChangeOutcome:
    return ChangeOutcome(
        name=f"{change.number}. {change.title}",
        state=change.get_state_display(),
        price=change.price,
        is_billed=change.state == Change.State.AGREED and change.is_billed,
    )


def _so_far(
    receipts: Iterable[MoneyIn],
    expenses: Iterable[MoneyOut],
    materials: BuildMaterials,
    hours: Decimal,
) -> SoFar:
    fees = sum((row.fee for row in receipts), NOTHING)
    # A material not from stock is among the materials already.
    paid = (row.amount for row in expenses if row.kind != Expense.Kind.MATERIAL)
    return SoFar(
        money_in=sum((row.home for row in receipts), NOTHING),
        costs=sum(paid, materials.cost + fees),
        hours=hours,
    )


def _earnings(
    received: Decimal,
    hours: Decimal,
    idle: Decimal,
    materials: Decimal,
    costs: Mapping[str, Decimal],
) -> Earnings | None:
    if hours <= idle:
        return None
    return Earnings(
        received=received,
        fees=costs["fees"],
        shipping=costs["shipping"],
        materials=materials,
        outside_work=costs["outside"],
        hours=hours - idle,
        unbilled_hours=idle,
        overhead_per_hour=overhead_per_hour(),
    )


def _unbilled_hours(build: Build) -> Decimal:
    shares = TimeShare.objects.filter(build=build, entry__is_billable=False)
    return round_money(Decimal(shares.aggregate(s=Sum("seconds"))["s"] or 0) / 3600)


def _profits(
    earnings: Earnings | None, materials: BuildMaterials, quote: Quote, cash_in: Decimal
) -> Profits | None:
    """Cash out is fees, shipping, outside work and lines paid for by hand.

    What came from the shelf was paid when it was bought.
    """
    if earnings is None:
        return None
    by_hand = sum(materials.paid.values(), NOTHING)
    return three_profits(
        earnings,
        wood_gain=materials.wood_gain(quote.bought_tax_rate * HUNDRED),
        cash_in=cash_in,
        cash_out=earnings.fees + earnings.shipping + earnings.outside_work + by_hand,
    )
