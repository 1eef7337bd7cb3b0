"""The data of papers that follow acceptance: changes, and the order confirmation."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone

from inventory.base.documents import is_letter_size
from inventory.models import Workshop
from quotes.base.calc.snapshot import from_data
from quotes.changes.queries import (
    SpecificationStep,
    current_specification,
    specification_steps,
    told_in,
)
from quotes.models import Change, Quote
from quotes.papers.documents.agreed_papers import (
    AgreedStep,
    Agreement,
    ChangePaper,
    ConfirmationPaper,
)
from quotes.papers.documents.papers import PaperInstrument, QuotePaper
from quotes.papers.documents.printing import print_paper
from quotes.papers.documents.quote import addressee_of, letterhead_of, paper_totals, tax_name
from quotes.pricing.queries.taxing import taxed_change


def change_pdf(change: Change) -> bytes:
    """Return the paper as it was offered."""
    if change.document:
        with change.document.open() as kept:
            offered: bytes = kept.read()
            return offered
    return print_paper(
        "quotes/papers/change.html", change_paper(change), made_on=f"{change.offered_on}"
    )


def change_paper(change: Change) -> ChangePaper:
    """Gather a change as the client reads it: no hours, no cost."""
    workshop = Workshop.objects.get()
    quote = change.quote
    return ChangePaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(quote.commission.client, workshop),
        number=f"{quote.number}, change order {change.number}",
        title=change.title,
        subject=quote.title,
        words=told_in(change),
        totals=paper_totals(taxed_change(change), quote.currency, change.title, tax_name()),
        agreement=agreement_beside(change),
        days_added=change.days_added,
        is_paid_ahead=change.is_paid_ahead,
        offered_on=change.offered_on,
        is_letter_size=is_letter_size(workshop.country),
    )


def agreement_beside(change: Change) -> Agreement:
    """Return what is agreed as the books stand, the change itself left out."""
    promised = change.quote.build.promised_on if change.quote.build else None
    state = Change.State(change.state)
    after = {
        Change.State.OFFERED: promised and promised + timedelta(days=change.days_added),
        Change.State.AGREED: promised,
    }
    order = change.quote.part_of or change.quote
    steps = [step for step in specification_steps(order) if step.change != change]
    return Agreement(
        steps=tuple(_agreed(steps, order)),
        ready_before=None if state == Change.State.AGREED else promised,
        ready_after=after.get(state),
    )


def confirmation_paper(quote: Quote, on: date) -> ConfirmationPaper:
    """Gather the confirmation of an accepted quote, from what was sent and what was agreed since.

    `on` is the day of acceptance. One of several instruments is confirmed with its order.
    """
    quote = quote.part_of or quote
    sent = from_data(QuotePaper, (quote.frozen or {})["paper"])
    build = quote.build
    now = current_specification(quote)
    return ConfirmationPaper(
        quote=replace(
            sent,
            rows=now.rows,
            specification=now.text,
            ready_on=build.promised_on if build else sent.ready_on,
            further=tuple(further_now(quote, sent)),
        ),
        serial=build.serial if build else "",
        accepted_on=on,
        accepted_by=quote.decided_by,
        changes=tuple(_agreed(specification_steps(quote)[1:], quote)),
    )


def further_now(order: Quote, sent: QuotePaper) -> Iterable[PaperInstrument]:
    """Return the further instruments of a sent quote as they are built now."""
    further = order.further.select_related("build").order_by("place", "pk")
    for one, was in zip(further, sent.further, strict=True):
        now = current_specification(one)
        yield replace(
            was,
            rows=now.rows,
            specification=now.text,
            ready_on=one.build.promised_on if one.build else was.ready_on,
            serial=one.build.serial if one.build else "",
        )


def _agreed(steps: Iterable[SpecificationStep], quote: Quote) -> Iterable[AgreedStep]:
    for step in steps:
        document = taxed_change(step.change) if step.change else None
        yield AgreedStep(
            title=step.title,
            on=timezone.localtime(step.at).date() if step.at else None,
            by=step.by,
            words=step.words,
            gross=document.due if document else quote.gross or Decimal(0),
            record=step.record,
            when=_when(step.change) if step.change else "",
        )


def _when(change: Change) -> str:
    if change.price < 0:
        return "less on the balance"
    return "before it is begun" if change.is_paid_ahead else "with the balance"
