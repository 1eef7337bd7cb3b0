"""The demo workshop's dealer in another member state: a supply without tax, a payment too much."""

from decimal import Decimal

from quotes.clients.services import add_client
from quotes.demo.services.start import ELECTRIC, Days, begin
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Client, Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote


def order_of_the_dealer(days: Days) -> Quote:
    """Return the accepted quote; its deposit came in as a round sum, and the rest went back."""
    dealer = add_client(
        name="Fern & Burrow",
        kind=Client.Kind.DEALER,
        email="counter@fern-burrow.example",
        address="2 Quay Lane\nMudwater",
        country="BE",
        tax_number="BE0123456749",
        note="Pays by the round sum. Has two bouzoukis on the wall, always.",
    )
    on, then = days.ago(18)
    quote = edit_quote(
        quote=begin(dealer, ELECTRIC, on, "Solid bouzouki for the wall"),
        tax_kind=Quote.TaxKind.INTRA_COMMUNITY,
        shipping=Decimal(85),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    later, at = days.ago(14)
    accepted = accept_quote(quote=issued, on=later, now=at, by="H. Burrow").quote
    deposit = issue_invoice(quote=accepted, part=0, on=later)
    paid_on, at = days.ago(11)
    round_sum = Decimal(1000)
    record_payment(client=dealer, amount=round_sum, received_on=paid_on, now=at, invoice=deposit)
    back_on, at = days.ago(10)
    record_payment(
        client=dealer,
        amount=deposit.gross - round_sum,
        received_on=back_on,
        now=at,
        invoice=deposit,
        note="paid too much, sent back",
    )
    return accepted
