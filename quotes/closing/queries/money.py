"""What a closed commission brought: money in by day and rate, fees, tax, profit three ways."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from django.db.models import Sum

from inventory.base.calc.money import round_money
from inventory.base.calc.units import from_base
from inventory.base.queries import home_minor_unit
from quotes.base.calc.checks import HUNDRED
from quotes.closing.calc.close_out import Earnings, Profits, three_profits
from quotes.closing.calc.sheet import ChangeOutcome, MoneyIn, MoneyOut, MoneyOutcome
from quotes.invoicing.queries.invoices import standing_invoices
from quotes.models import Change, Expense, Invoice, Payment, Quote, QuoteExtra
from quotes.pricing.calc.currency import Receipt, currency_result, home_value
from quotes.pricing.calc.offer import Offer
from quotes.pricing.calc.tax import cost_to_maker
from quotes.pricing.queries.taxing import taxed_change
from quotes.shop_rate.queries import overhead_per_hour
from shop.builds.queries.needs import BuildNeed
from shop.models import Build, TimeShare

NOTHING = Decimal(0)


def money_outcome(
    quote: Quote, build: Build, offer: Offer, hours: Decimal, needs: Iterable[BuildNeed]
) -> MoneyOutcome:
    """Gather the money side of a commission, as the books stand now.

    `hours` are all hours on the build. While invoices are open or parts are not invoiced, what is
    quoted and agreed counts as received.
    """
    needs = list(needs)
    payments = list(Payment.objects.filter(commission=quote.commission_id))
    invoices = list(Invoice.objects.filter(commission=quote.commission_id))
    changes = list(quote.changes.all())
    receipts = tuple(_money_in(payment, quote) for payment in payments)
    expenses = tuple(_money_out(expense) for expense in build.expenses.all())
    asked = sum((invoice.gross for invoice in invoices), NOTHING)
    beyond = sum((payment.amount for payment in payments), NOTHING) - asked
    beyond -= _to_invoice(quote, offer, changes)
    is_paid = bool(payments) and beyond >= 0
    too_much = home_value(beyond, quote.exchange_rate, home_minor_unit()) if is_paid else NOTHING
    tax = sum((invoice.home_tax for invoice in invoices), NOTHING)
    home = sum((row.home for row in receipts), NOTHING) - too_much
    expected = _expected_home(quote, offer, changes) + _taken_off(invoices)
    received = home - tax if is_paid else expected
    costs = _costs(quote, offer, expenses, receipts if is_paid else ())
    earnings = _earnings(build, received, hours, needs, costs)
    return MoneyOutcome(
        receipts=tuple(sorted(receipts, key=lambda row: row.received_on)),
        changes=tuple(_change(change) for change in changes),
        is_paid=is_paid,
        received=received,
        tax=tax,
        earnings=earnings,
        profits=_profits(earnings, needs, quote, received),
        expenses=expenses,
        too_much=too_much,
    )


def _money_out(expense: Expense) -> MoneyOut:
    return MoneyOut(
        kind=expense.kind, words=f"{expense}", amount=expense.amount, paid_on=expense.paid_on
    )


def _costs(
    quote: Quote, offer: Offer, expenses: Iterable[MoneyOut], receipts: Sequence[MoneyIn]
) -> dict[str, Decimal]:
    """What fees, outside work and shipping cost: as paid where that is known, or as quoted."""
    sheet = offer.sheet
    costs = {
        "fees": sheet.amount("fees"),
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
    is_foreign = payment.currency == quote.currency and quote.exchange_rate_on is not None
    result = currency_result(
        [receipt] if is_foreign else [], quote.exchange_rate, home_minor_unit()
    )
    return MoneyIn(
        received_on=payment.received_on,
        number=payment.number,
        currency=payment.currency,
        amount=payment.amount,
        home=payment.home,
        fee=payment.fee,
        gain=result.gain,
    )


def _billed(changes: Iterable[Change]) -> Decimal:
    agreed = (one for one in changes if one.state == Change.State.AGREED and one.is_billed)
    return sum((change.price for change in agreed), NOTHING)


def _to_invoice(quote: Quote, offer: Offer, changes: Iterable[Change]) -> Decimal:
    """What of the price and of agreed changes has no invoice that stands, gross."""
    standing = list(standing_invoices(quote).values_list("part", "change"))
    parts, done = {part for part, _ in standing}, {change for _, change in standing}
    left = [part.amount for place, part in enumerate(offer.parts) if place not in parts]
    left += [
        taxed_change(change).due
        for change in changes
        if change.state == Change.State.AGREED and change.is_billed and change.pk not in done
    ]
    return sum(left, NOTHING)


def _expected_home(quote: Quote, offer: Offer, changes: Iterable[Change]) -> Decimal:
    return offer.sheet.net + home_value(_billed(changes), quote.exchange_rate, home_minor_unit())


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


def _earnings(
    build: Build,
    received: Decimal,
    hours: Decimal,
    needs: Iterable[BuildNeed],
    costs: Mapping[str, Decimal],
) -> Earnings | None:
    idle = _unbilled_hours(build)
    if hours <= idle:
        return None
    return Earnings(
        received=received,
        fees=costs["fees"],
        shipping=costs["shipping"],
        materials=sum((need.used_cost + need.scrapped_cost for need in needs), NOTHING)
        + _drawn_beside(build),
        outside_work=costs["outside"],
        hours=hours - idle,
        unbilled_hours=idle,
        overhead_per_hour=overhead_per_hour(),
    )


def _unbilled_hours(build: Build) -> Decimal:
    shares = TimeShare.objects.filter(build=build, entry__is_billable=False)
    return round_money(Decimal(shares.aggregate(s=Sum("seconds"))["s"] or 0) / 3600)


def _drawn_beside(build: Build) -> Decimal:
    """What was drawn for the build beside its lines, less what came back."""
    draws = build.draws.filter(line=None).order_by()
    own = draws.aggregate(cost=Sum("entry__cost"))["cost"] or NOTHING
    back = draws.aggregate(cost=Sum("entry__followed_by__cost"))["cost"] or NOTHING
    return -own - back


def _profits(
    earnings: Earnings | None, needs: Iterable[BuildNeed], quote: Quote, cash_in: Decimal
) -> Profits | None:
    """Cash out is fees, shipping and outside work: materials were paid when they were bought."""
    if earnings is None:
        return None
    tax = quote.bought_tax_rate * HUNDRED
    replaced = sum((_at_replacement(need, tax) for need in needs), NOTHING)
    beside = earnings.materials - sum((n.used_cost + n.scrapped_cost for n in needs), NOTHING)
    return three_profits(
        earnings,
        materials_at_replacement=replaced + beside,
        cash_in=cash_in,
        cash_out=earnings.fees + earnings.shipping + earnings.outside_work,
    )


def _at_replacement(need: BuildNeed, tax_percent: Decimal) -> Decimal:
    """What was used and lost at today's replacement price, or at cost where there is none.

    Tax that can't be reclaimed comes on top of a price, and is in a cost already.
    """
    material = need.line.material
    if material is None or material.replacement_price is None:
        return need.used_cost + need.scrapped_cost
    quantity = from_base(need.used + need.scrapped, material.unit)
    return round_money(
        cost_to_maker(quantity * material.replacement_price, tax_percent), home_minor_unit()
    )
