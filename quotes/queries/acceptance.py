"""The record of a client's yes as a paper."""

from django.utils import timezone

from quotes.calc.snapshot import from_data
from quotes.documents.client_papers import AcceptancePaper
from quotes.documents.papers import QuotePaper
from quotes.documents.printing import print_paper
from quotes.models import Decision


def acceptance_pdf(decision: Decision) -> bytes:
    """Print the record of an acceptance; the same record always gives the same bytes."""
    paper = acceptance_paper(decision)
    return print_paper("quotes/papers/acceptance.html", paper, made_on=f"{paper.decided_on}")


def acceptance_paper(decision: Decision) -> AcceptancePaper:
    """Gather the record of an acceptance from what was frozen with its quote."""
    quote = decision.quote
    sent = from_data(QuotePaper, (quote.frozen or {})["paper"])
    at = timezone.localtime(decision.decided_at)
    return AcceptancePaper(
        letterhead=sent.letterhead,
        addressee=sent.addressee,
        number=sent.number,
        version=sent.version,
        title=sent.title,
        options=sent.options,
        currency=sent.totals.currency,
        gross=sent.totals.gross,
        name=decision.name,
        dated=decision.dated,
        decided_at=f"{at.day} {at:%B %Y, %H:%M} ({at.tzinfo})",
        decided_on=at.date(),
        document_sha256=decision.document_sha256,
        is_letter_size=sent.is_letter_size,
    )
