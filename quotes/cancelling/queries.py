"""What there is to settle when a commission is cancelled."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.base.calc.money import round_money
from inventory.base.queries import home_minor_unit
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import Figure, added_up, plain
from quotes.cancelling.calc import Settlement
from quotes.changes.queries import asked_of_client
from quotes.models import Change, Commission, Expense, Invoice, Payment, Quote
from quotes.pricing.calc.margins import markup_words
from quotes.pricing.calc.offer import Offer
from quotes.pricing.calc.tax import taxed_from_net
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.taxing import tax_rate_of, taxed_change
from shop.models import Build, BuildDraw, TimeShare

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnForBuild:
    """A draw of a cancelled build: what is still out of it, and whether it goes back."""

    draw: BuildDraw
    quantity: Decimal
    cost: Decimal
    is_scrap: bool
    goes_back: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CancelPage:
    """Everything to look at before a commission is cancelled.

    Without an accepted quote there is nothing to settle.
    """

    commission: Commission
    quote: Quote | None
    drawn: tuple[DrawnForBuild, ...]
    hours: Decimal
    settlement: Settlement | None
    changes: tuple[Change, ...]


def accepted_quote(commission: Commission) -> Quote | None:
    """Return the quote that the client accepted, with its build."""
    quotes = Quote.offers.filter(commission=commission, state=Quote.State.ACCEPTED)
    return quotes.select_related("build", "commission__client").order_by("pk").first()


def builds_of(order: Quote) -> list[Build]:
    """Return the builds of all instruments of an accepted order."""
    return [one.build for one in order.instruments if one.build]


def cancel_page(commission: Commission, on: date, back: Collection[int] = ()) -> CancelPage:
    """Gather what cancelling comes to, with the draws whose keys are in `back` returned."""
    quote = accepted_quote(commission)
    builds = builds_of(quote) if quote else []
    drawn = tuple(row for build in builds for row in _drawn(build, back))
    hours = sum((_charged_hours(build) for build in builds), NOTHING)
    return CancelPage(
        commission=commission,
        quote=quote,
        drawn=drawn,
        hours=hours,
        settlement=_settlement(quote, hours, drawn, on) if quote else None,
        changes=tuple(commission.changes.all()),
    )


def agreed_due(quote: Quote, offer: Offer) -> Decimal:
    """Return the gross price that was agreed, billed changes in it, in the client's money."""
    agreed = Change.objects.filter(
        quote__in=quote.instruments, state=Change.State.AGREED, is_billed=True
    )
    return sum((taxed_change(change).due for change in agreed), offer.document.due)


def invoiced_net_of_credits(commission: Commission) -> Decimal:
    """Return the gross sum of a commission's invoices less its credit notes."""
    return commission.invoices.aggregate(sum=Sum("gross"))["sum"] or NOTHING


def _drawn(build: Build, back: Collection[int]) -> list[DrawnForBuild]:
    draws = BuildDraw.objects.filter(build=build).select_related(
        "line", "entry__material", "entry__lot"
    )
    rows = draws.annotate(
        back=Sum("entry__followed_by__quantity"), back_cost=Sum("entry__followed_by__cost")
    ).order_by("pk")
    found = []
    for draw in rows:
        quantity = -draw.entry.quantity - (draw.back or NOTHING)
        is_scrap = draw.entry.reason == "scrapped"
        if quantity > 0:
            found.append(
                DrawnForBuild(
                    draw=draw,
                    quantity=quantity,
                    cost=-draw.entry.cost - (draw.back_cost or NOTHING),
                    is_scrap=is_scrap,
                    goes_back=draw.pk in back and not is_scrap,
                )
            )
    return found


def _charged_hours(build: Build) -> Decimal:
    """Billable hours so far; what was made again is the maker's own loss."""
    shares = TimeShare.objects.filter(build=build, entry__seconds__isnull=False)
    charged = shares.filter(entry__is_billable=True, entry__is_remake=False)
    return round_money(Decimal(charged.aggregate(s=Sum("seconds"))["s"] or 0) / 3600)


def _settlement(
    quote: Quote, hours: Decimal, drawn: Collection[DrawnForBuild], on: date
) -> Settlement:
    offer = offer_of(quote, on=on)
    minor_unit = home_minor_unit()
    outside = Expense.objects.filter(build__in=builds_of(quote), kind__in=["outside", "material"])
    home = [
        Figure(
            name="Hours so far",
            amount=round_money(hours * quote.shop_rate, minor_unit),
            how=f"{plain(hours)} h × {plain(quote.shop_rate)}, billable and not remaking",
        ),
        _materials_kept(quote, drawn, minor_unit),
        Figure(
            name="Outside work and materials paid for",
            amount=outside.aggregate(sum=Sum("amount"))["sum"] or NOTHING,
            how="at cost",
        ),
    ]
    payments = Payment.objects.filter(commission=quote.commission_id, currency=quote.currency)
    return Settlement(
        work=_gross_work(quote, [step for step in home if step.amount]),
        deposit=offer.parts[0].amount if len(offer.parts) > 1 else NOTHING,
        agreed=agreed_due(quote, offer),
        invoiced=invoiced_net_of_credits(quote.commission),
        received=payments.aggregate(sum=Sum("amount"))["sum"] or NOTHING,
    )


def _materials_kept(order: Quote, drawn: Collection[DrawnForBuild], minor_unit: Decimal) -> Figure:
    """Add up what stays drawn, that of each instrument with its own markup."""
    amount, hows = NOTHING, []
    for one in order.instruments:
        own = (row for row in drawn if row.draw.build_id == one.build_id)
        kept = sum((row.cost for row in own if not (row.is_scrap or row.goes_back)), NOTHING)
        markup = one.material_markup * HUNDRED
        amount += round_money(kept * (1 + one.material_markup), minor_unit)
        if kept:
            how = f"{plain(kept)} at cost"
            hows.append(f"{how}; {markup_words(markup)}" if markup else how)
    return Figure(name="Materials that stay drawn", amount=amount, how=", and ".join(hows))


def _gross_work(quote: Quote, home: list[Figure]) -> Figure:
    """Put the parts in the client's money, each by itself, and the quote's tax on their sum."""
    asked = [
        Figure(name=step.name, amount=asked_of_client(quote, step.amount), how=step.how)
        for step in home
    ]
    net = sum((step.amount for step in asked), NOTHING)
    rate = tax_rate_of(quote)
    tax = taxed_from_net(net, rate).tax
    taxed = [Figure(name="Tax", amount=tax, how=rate.words)] if tax else []
    return added_up("Work so far", [*asked, *taxed])


def open_invoices(quote: Quote) -> list[Invoice]:
    """Return the invoices of an order that can be credited, the earliest first.

    A change order to a further instrument is invoiced to that one.
    """
    sent = Invoice.objects.filter(quote__in=quote.instruments).exclude(kind=Invoice.Kind.CREDIT)
    return list(sent.select_related("commission__client", "quote").order_by("issued_on", "pk"))
