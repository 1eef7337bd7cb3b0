"""What can be sent: each paper with its client, its words and its file."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from inventory.base.addresses import outside_address
from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.base.locking import check_stands_alone
from quotes.changes.documents import change_pdf, confirmation_paper
from quotes.changes.queries import closed_to_change
from quotes.invoicing.documents import receipt_of
from quotes.invoicing.queries.invoices import still_open
from quotes.links.queries import last_day_proposed
from quotes.models import Change, Client, Commission, Invoice, Payment, Quote
from quotes.papers.documents.printing import print_paper
from quotes.papers.documents.quote import in_figures, quote_pdf
from quotes.sending.calc import Words, letter


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgoing:
    """A paper that can be sent: whose it is, what it is called, and its row.

    `link_until` is the last day proposed of a link to the client's page; None where there is no
    such page. `rows` are the fields of the mail that name it.
    """

    name: str
    client: Client
    commission: Commission | None
    words: Words
    printed: Callable[[], bytes]
    back: str
    rows: dict[str, Any] = field(default_factory=dict)
    link_until: date | None = None


def quote_to_send(quote: Quote, on: date) -> Outgoing:
    """A quote that was sent or is to be. Raises Refusal for a draft and one that is over.

    Raises PartOfAnOrder for a further instrument, which is sent with its order.
    """
    check_stands_alone(quote)
    if quote.state != Quote.State.ISSUED:
        raise Refusal(
            f"{quote} is {quote.get_state_display()}. Only an issued quote that is still open is "
            "sent; issue it first, or revise it."
        )
    last = f" It is valid until {day_words(quote.valid_until)}." if quote.valid_until else ""
    sentences = [f"Here is our quote {quote.number}: {quote.title}.{last}"]
    return _outgoing(
        quote.commission,
        name=f"Quote {quote.number}",
        subject=f"Quote {quote.number}: {quote.title}",
        sentences=sentences,
        printed=lambda: quote_pdf(quote, on),
        back=reverse("quote", args=[quote.pk]),
        rows={"quote": quote},
        link_until=last_day_proposed(quote, on),
    )


def confirmation_to_send(quote: Quote, on: date) -> Outgoing:
    """The confirmation of an accepted quote. Raises Refusal for any other, and PartOfAnOrder."""
    check_stands_alone(quote)
    if quote.state != Quote.State.ACCEPTED:
        raise Refusal(f"{quote} is {quote.get_state_display()}; only an order is confirmed.")
    decided = timezone.localtime(quote.decided_at).date() if quote.decided_at else on

    def printed() -> bytes:
        paper = confirmation_paper(quote, decided)
        return print_paper("quotes/papers/confirmation.html", paper, made_on=f"{decided}")

    return _outgoing(
        quote.commission,
        name=f"Order confirmation {quote.number}",
        subject=f"Order confirmation {quote.number}: {quote.title}",
        sentences=["Thank you for your order. Here is its confirmation."],
        printed=printed,
        back=reverse("quote", args=[quote.pk]),
        rows={"quote": quote},
    )


def change_to_send(change: Change, on: date) -> Outgoing:
    """A change order that can still be answered. Raises Refusal for one that can't."""
    if closed_to_change(change):
        raise Refusal(f"{change} can’t be answered any more, so it is not sent.")
    return _outgoing(
        change.quote.commission,
        name=f"Change order {change.number} to {change.quote.number}",
        subject=f"Change order to {change.quote.number}: {change.title}",
        sentences=[
            f"here is the change order we talked about, for your agreement: {change.title}."
        ],
        printed=lambda: change_pdf(change),
        back=reverse("change", args=[change.pk]),
        rows={"quote": change.quote, "change": change},
        link_until=last_day_proposed(change.quote, on, change),
    )


def invoice_to_send(invoice: Invoice, on: date) -> Outgoing:
    """An invoice or a credit note; one that is overdue with a reminder."""
    kind = "Credit note" if invoice.is_credit else "Invoice"
    name = f"{kind} {invoice.number}"
    owed = still_open(invoice)
    is_late = not invoice.is_credit and invoice.due_on < on and owed > 0
    open_words = in_figures(owed, invoice.currency)
    if is_late:
        sentences = [
            f"Our invoice {invoice.number} of {day_words(invoice.issued_on)} was due on "
            f"{day_words(invoice.due_on)}, and {open_words} is still open.",
            "If you have paid in the meantime, please ignore this reminder; if not, please pay in "
            "the next few days.",
        ]
    elif invoice.is_credit:
        sentences = [f"Here is our credit note {invoice.number}."]
    else:
        due = f" Please pay {open_words} by {day_words(invoice.due_on)}." if owed > 0 else ""
        sentences = [f"Here is our invoice {invoice.number}.{due}"]
    return _outgoing(
        invoice.commission,
        name=name,
        subject=f"Reminder: invoice {invoice.number}" if is_late else name,
        sentences=sentences,
        printed=lambda: _stored(invoice),
        back=reverse("invoice", args=[invoice.pk]),
        rows={"invoice": invoice, "quote": invoice.quote},
    )


def receipt_to_send(payment: Payment, on: date) -> Outgoing:
    """The receipt of a payment, or of a refund."""
    paper = receipt_of(payment)
    came = "your payment" if payment.amount > 0 else "our refund"
    back = reverse("commission", args=[payment.commission_id]) if payment.commission_id else ""
    return _outgoing(
        payment.commission,
        client=payment.client,
        name=f"{paper.title} {payment.number}",
        subject=f"{paper.title} {payment.number}",
        sentences=[
            f"thank you. Here is the receipt of {came} of {day_words(payment.received_on)}."
        ],
        printed=lambda: print_paper(
            "quotes/papers/receipt.html", paper, made_on=f"{payment.received_on}"
        ),
        back=back or reverse("client", args=[payment.client_id]),
        rows={"payment": payment, "invoice": payment.invoice},
    )


def _outgoing(
    commission: Commission | None,
    *,
    subject: str,
    sentences: list[str],
    client: Client | None = None,
    **fields: Any,
) -> Outgoing:
    if client is None:
        assert commission is not None  # only money on account has none, and brings its client
        client = commission.client
    workshop = Workshop.objects.get()
    text = letter(client.name, sentences, workshop.maker, workshop.name)
    words = Words(subject=subject, text=text)
    return Outgoing(client=client, commission=commission, words=words, **fields)


def _stored(row: Invoice) -> bytes:
    with row.document.open() as kept:
        content: bytes = kept.read()
    return content


QUOTES = Quote.objects.select_related("commission__client", "build")
SENDABLE: dict[str, tuple[QuerySet, Callable[[Any, date], Outgoing]]] = {
    "quote": (QUOTES, quote_to_send),
    "confirmation": (QUOTES, confirmation_to_send),
    "change": (Change.objects.select_related("quote__commission__client"), change_to_send),
    "invoice": (Invoice.objects.select_related("commission__client", "quote"), invoice_to_send),
    "receipt": (
        Payment.objects.select_related("client", "commission__client", "invoice"),
        receipt_to_send,
    ),
}
"""What can be sent: the word in its address, its rows, and what is said of one."""


def link_address(request: HttpRequest) -> Callable[[str, bool], str]:
    """Return what turns the secret of a link into its address, for a quote or a change."""

    def address(secret: str, is_change: bool) -> str:
        page = "offer_change" if is_change else "offer"
        return outside_address(request, reverse(page, args=[secret]))

    return address
