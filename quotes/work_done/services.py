"""Invoice work charged by time and materials."""

from datetime import date, timedelta

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_quote
from quotes.invoicing.queries.delivery import country_of_delivery
from quotes.invoicing.services.invoices import book_invoice
from quotes.models import Invoice, PricingPolicy, Quote
from quotes.work_done.queries import work_done


@in_attempts
@atomic_with_files()
def invoice_work_done(
    *,
    quote: Quote,
    on: date,
    due_on: date | None = None,
    delivered_on: date | None = None,
    deliver_to: str = "",
) -> Invoice:
    """Return the invoice of all work done so far on an order by time and materials.

    Raises Refusal where the order isn't one, where nothing was done, and where it is invoiced.
    """
    locked = lock_quote(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(
            f"{locked} is {locked.get_state_display()}; invoices follow once it is accepted."
        )
    done = work_done(locked)
    if done.invoice is not None:
        raise Refusal(
            f"The work is invoiced in {done.invoice}. Credit that first to invoice again."
        )
    if done.document is None:
        raise Refusal("No hours and no materials are recorded yet, so there is nothing to invoice.")
    days = PricingPolicy.objects.get_or_create(pk=1)[0].payment_days
    due_on = due_on or on + timedelta(days=days)
    if due_on < on:
        raise Refusal("An invoice can't be due before it is issued.", field="due_on")
    return book_invoice(
        quote=locked,
        kind=Invoice.Kind.WHOLE,
        part=0,
        document=done.document,
        title=locked.title,
        concerns=[f"Quote {locked.number}, version {locked.version}, by time and materials"],
        on=on,
        due_on=due_on,
        delivered_on=delivered_on,
        deliver_to=country_of_delivery(locked, deliver_to),
    )
