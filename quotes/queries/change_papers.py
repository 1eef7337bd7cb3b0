"""The data of papers that follow acceptance: changes, the order confirmation, the certificate."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from inventory.calc.money import minor_unit
from inventory.documents.printing import LETTER_SIZE_COUNTRIES
from inventory.models import Workshop
from quotes.calc.snapshot import from_data
from quotes.calc.tax import TaxableLine
from quotes.calc.tax_document import tax_document
from quotes.documents.papers import ChangePaper, ConfirmationPaper, PaperLine, QuotePaper
from quotes.models import Change, Quote
from quotes.queries.papers import (
    addressee_of,
    letterhead_of,
    paper_totals,
    tax_name,
)
from quotes.queries.taxing import tax_rate_of


def change_paper(change: Change) -> ChangePaper:
    """Gather a change as the client reads it: no hours, no cost."""
    workshop = Workshop.objects.get()
    quote = change.quote
    line = TaxableLine(name=change.title, net=_billed(change), rate=tax_rate_of(quote))
    document = tax_document([line], unit=minor_unit(quote.currency))
    promised = quote.build.promised_on if quote.build else None
    return ChangePaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(quote.commission.client),
        number=f"{quote.number}, change {change.number}",
        title=change.title,
        subject=quote.title,
        words=change.words,
        totals=paper_totals(document, quote.currency, change.title, tax_name()),
        days_added=change.days_added,
        ready_on=promised + timedelta(days=change.days_added) if promised else None,
        is_paid_ahead=change.is_paid_ahead,
        offered_on=change.offered_on,
        is_letter_size=workshop.country in LETTER_SIZE_COUNTRIES,
    )


def confirmation_paper(quote: Quote, on: date) -> ConfirmationPaper:
    """Gather the confirmation of an accepted quote, from what was sent and what was agreed since.

    `on` is the day of acceptance.
    """
    sent = from_data(QuotePaper, (quote.frozen or {})["paper"])
    changes = quote.changes.filter(state=Change.State.AGREED)
    build = quote.build
    return ConfirmationPaper(
        quote=replace(sent, ready_on=build.promised_on if build else sent.ready_on),
        serial=build.serial if build else "",
        accepted_on=on,
        accepted_by=quote.decided_by,
        changes=tuple(
            PaperLine(words=f"{change.number}. {change.title}", amount=_billed(change))
            for change in changes
        ),
    )


def _billed(change: Change) -> Decimal:
    return change.price if change.is_billed else Decimal(0)
