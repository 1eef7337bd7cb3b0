"""What a closed commission brought: money in by day and rate, fees, tax, profit three ways."""

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Sum

from inventory.calc.money import round_money
from inventory.calc.units import from_base
from inventory.money import home_unit
from quotes.calc.checks import HUNDRED
from quotes.calc.close_out_sheet import ChangeOutcome, MoneyIn, MoneyOutcome
from quotes.calc.closeout import Earnings, Profits, three_profits
from quotes.calc.currency import Receipt, currency_result, home_value
from quotes.calc.offer import Offer
from quotes.calc.tax import cost_to_maker
from quotes.models import Change, Invoice, Payment, Quote
from quotes.queries.shop_year import overhead_per_hour
from shop.models import Build, TimeShare
from shop.queries.needs import Need

NOTHING = Decimal(0)


def money_outcome(
    quote: Quote, build: Build, offer: Offer, hours: Decimal, needs: Iterable[Need]
) -> MoneyOutcome:
    """Gather the money side of a commission, as the books stand now.

    `hours` are all hours on the build. While invoices are open or parts are not invoiced, what is
    quoted and agreed counts as received.
    """
    needs = list(needs)
    payments = list(Payment.objects.filter(commission=quote.commission_id))
    invoices = list(Invoice.objects.filter(commission=quote.commission_id))
    changes = list(Change.objects.filter(quote=quote))
    receipts = tuple(_money_in(payment, quote) for payment in payments)
    asked = sum((invoice.gross for invoice in invoices), NOTHING)
    expected = offer.document.gross + _billed(changes) * (1 + quote.tax_rate)
    came = sum((payment.amount for payment in payments), NOTHING)
    is_paid = bool(payments) and came >= max(asked, round_money(expected))
    tax = sum((invoice.home_tax for invoice in invoices), NOTHING)
    home = sum((row.home for row in receipts), NOTHING)
    received = home - tax if is_paid else _expected_home(quote, offer, changes)
    earnings = _earnings(build, offer, received, receipts if is_paid else (), hours, needs)
    return MoneyOutcome(
        receipts=tuple(sorted(receipts, key=lambda row: row.received_on)),
        changes=tuple(_change(change) for change in changes),
        is_paid=is_paid,
        received=received,
        tax=tax,
        earnings=earnings,
        profits=_profits(earnings, needs, quote, home - tax if is_paid else received),
    )


def _money_in(payment: Payment, quote: Quote) -> MoneyIn:
    receipt = Receipt(received_on=payment.received_on, amount=payment.amount, home=payment.home)
    is_foreign = payment.currency == quote.currency and quote.exchange_rate_on is not None
    result = currency_result([receipt] if is_foreign else [], quote.exchange_rate, home_unit())
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


def _expected_home(quote: Quote, offer: Offer, changes: Iterable[Change]) -> Decimal:
    return offer.sheet.net + home_value(_billed(changes), quote.exchange_rate, home_unit())


def _change(change: Change) -> ChangeOutcome:
    return ChangeOutcome(
        name=f"{change.number}. {change.title}",
        state=change.get_state_display(),
        price=change.price,
        is_billed=change.state == Change.State.AGREED and change.is_billed,
    )


def _earnings(
    build: Build,
    offer: Offer,
    received: Decimal,
    receipts: Iterable[MoneyIn],
    hours: Decimal,
    needs: Iterable[Need],
) -> Earnings | None:
    idle = _unbilled_hours(build)
    if hours <= idle:
        return None
    receipts = list(receipts)
    fees = sum((row.fee for row in receipts), NOTHING) if receipts else offer.sheet.amount("fees")
    return Earnings(
        received=received,
        fees=fees,
        shipping=offer.sheet.amount("shipping"),
        materials=sum((need.used_cost + need.scrapped_cost for need in needs), NOTHING)
        + _drawn_beside(build),
        outside_work=offer.sheet.cost_of("outside") + offer.sheet.cost_of("packing"),
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
    earnings: Earnings | None, needs: Iterable[Need], quote: Quote, cash_in: Decimal
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


def _at_replacement(need: Need, tax_percent: Decimal) -> Decimal:
    """What was used and lost at today's replacement price, or at cost where there is none.

    Tax that can't be reclaimed comes on top of a price, and is in a cost already.
    """
    material = need.line.material
    if material is None or material.replacement_price is None:
        return need.used_cost + need.scrapped_cost
    quantity = from_base(need.used + need.scrapped, material.unit)
    return round_money(
        cost_to_maker(quantity * material.replacement_price, tax_percent), home_unit()
    )
