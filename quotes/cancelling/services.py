"""Cancel a commission: settle it on paper, release its stock, mark everything of it cancelled."""

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from inventory.base.attempts import in_attempts
from inventory.base.calc.days import day_words
from inventory.base.calc.money import check_whole_units
from inventory.base.people import Person
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.reservations.queries import promised_materials
from inventory.reservations.services import release_reservations
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_commission
from quotes.cancelling.calc import credits_latest_first
from quotes.cancelling.queries import (
    accepted_quote,
    agreed_due,
    invoiced_net_of_credits,
    open_invoices,
)
from quotes.invoicing.queries.delivery import country_of_delivery
from quotes.invoicing.queries.invoices import credit_left
from quotes.invoicing.services.invoices import book_invoice, credit_invoice
from quotes.models import Change, Commission, Invoice, PricingPolicy, Quote
from quotes.papers.documents.quote import in_figures
from quotes.pricing.calc.parts import PaymentPart, part_documents
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document
from quotes.pricing.queries.offer import offer_of
from shop.builds.services.end import cancel_build
from shop.builds.services.stock import return_from_build
from shop.models import BuildDraw
from shop.stages.locking import locked_build

OPEN = (Quote.State.DRAFT, Quote.State.ISSUED, Quote.State.ACCEPTED)


@in_attempts
@atomic_with_files()
def cancel_commission(
    *,
    commission: Commission,
    now: datetime,
    why: str = "",
    settlement: Decimal | None = None,
    returned: Collection[BuildDraw] = (),
    user: Person | None = None,
) -> Commission:
    """Return the commission as cancelled, with its quotes, changes on offer and open build.

    `settlement` is what the client owes for it in all, gross and in the quote's money: beyond what
    is invoiced a final invoice is issued, below it credit notes, the latest invoices first. Without
    one invoices stay as they are. `returned` draws go back to the shelf. Raises Refusal when the
    commission was delivered or cancelled, its instrument is finished, a draw is not its own, or
    `settlement` is below 0, above what was agreed, or for a commission that was never accepted.
    """
    locked = lock_commission(commission.pk)
    if locked.state in {Commission.State.DELIVERED, Commission.State.CANCELLED}:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    quotes = list(locked.quotes.select_related("build").order_by("pk"))
    accepted = accepted_quote(locked)
    if settlement is not None and accepted is None:
        raise Refusal("Nothing was accepted, so there is nothing to settle.", field="settlement")
    _lock_what_is_let_go(quotes, returned)
    _return(accepted, returned, now, user)
    for quote in quotes:
        release_reservations(holder=quote.holder, now=now)
        if quote.build is not None and quote.state == Quote.State.ACCEPTED:
            cancel_build(build=quote.build, now=now, why=why, user=user)
    on = timezone.localtime(now).date()
    if settlement is not None and accepted is not None:
        accepted.commission = locked
        _settle(accepted, settlement, on, why)
    _mark_cancelled(locked, on, now, why)
    return locked


def _mark_cancelled(commission: Commission, on: date, now: datetime, why: str) -> None:
    reason = why.strip()[:300]
    commission.quotes.filter(state__in=OPEN).update(
        state=Quote.State.CANCELLED, decided_at=now, decline_reason=reason, held_until=None
    )
    commission.changes.filter(state=Change.State.OFFERED).update(
        state=Change.State.DECLINED, decided_at=now
    )
    commission.state = Commission.State.CANCELLED
    commission.cancelled_on, commission.cancel_reason = on, reason
    commission.save(update_fields=["state", "cancelled_on", "cancel_reason"])


def _lock_what_is_let_go(quotes: Iterable[Quote], returned: Iterable[BuildDraw]) -> None:
    """Lock every build and then every material of the order, each in key order."""
    builds = [locked_build(quote.build) for quote in quotes if quote.build]
    holders = [*(quote.holder for quote in quotes), *(build.holder for build in builds)]
    lock_materials([*promised_materials(holders), *(draw.entry.material for draw in returned)])


def _return(
    accepted: Quote | None, returned: Collection[BuildDraw], now: datetime, user: Person | None
) -> None:
    own = {one.build_id for one in accepted.instruments} if accepted else set()
    for draw in returned:
        if draw.build_id not in own:
            raise Refusal(f"{draw} is not of this commission.", field="returned")
        back = sum((entry.quantity for entry in draw.entry.followed_by.all()), Decimal(0))
        return_from_build(draw=draw, quantity=-draw.entry.quantity - back, now=now, user=user)


def _settle(quote: Quote, settlement: Decimal, on: date, why: str) -> None:
    """Bring what is invoiced to the settlement."""
    check_whole_units(settlement, quote.currency)
    offer = offer_of(quote, on=on)
    agreed = agreed_due(quote, offer)
    if not 0 <= settlement <= agreed:
        raise Refusal(
            f"The settlement is from 0 to the agreed {in_figures(agreed, quote.currency)}.",
            field="settlement",
        )
    more = settlement - invoiced_net_of_credits(quote.commission)
    if more > 0:
        _issue_final(quote, offer.document, min(more, offer.document.due), on, why)
    elif more < 0:
        _credit(quote, -more, on, why)


def _issue_final(
    quote: Quote, document: TaxedDocument, amount: Decimal, on: date, why: str
) -> None:
    days = PricingPolicy.objects.get_or_create(pk=1)[0].payment_days
    share = part_documents(
        document,
        [
            PaymentPart(name="Settlement", amount=amount),
            PaymentPart(name="Not charged", amount=document.due - amount),
        ],
    )[0]
    lines = [replace(line, name=f"Settlement: {quote.title}") for line in share.lines]
    book_invoice(
        quote=quote,
        kind=Invoice.Kind.SETTLEMENT,
        document=tax_document(lines, rounding=share.rounding, minor_unit=share.unit),
        title=f"Settlement for {quote.title}, cancelled",
        concerns=[
            f"Quote {quote.number}, version {quote.version}, "
            f"cancelled on {day_words(on)}{f': {why}' if why else ''}"
        ],
        on=on,
        due_on=on + timedelta(days=days),
        deliver_to=country_of_delivery(quote, ""),
        why=why[:300],
    )


def _credit(quote: Quote, amount: Decimal, on: date, why: str) -> None:
    invoices = open_invoices(quote)
    credits = credits_latest_first([credit_left(invoice) for invoice in invoices], amount)
    for invoice, credit in zip(invoices, credits, strict=True):
        if credit:
            words = f"cancelled{f': {why}' if why else ''}"
            credit_invoice(invoice=invoice, on=on, why=words[:300], amount=credit)
