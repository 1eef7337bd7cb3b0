"""The record of a client's yes as a paper."""

from django.utils import timezone

from quotes.base.calc.snapshot import from_data
from quotes.models import Decision
from quotes.papers.documents.agreed_papers import ChangePaper
from quotes.papers.documents.client_papers import AcceptancePaper
from quotes.papers.documents.papers import QuotePaper
from quotes.papers.documents.printing import print_paper


def acceptance_pdf(decision: Decision) -> bytes:
    """Print the record of a yes; the same record always gives the same bytes."""
    paper = acceptance_paper(decision)
    return print_paper("quotes/papers/acceptance.html", paper, made_on=f"{paper.decided_on}")


def acceptance_paper(decision: Decision) -> AcceptancePaper:
    """Gather the record of a client's yes from what was frozen with its quote or change."""
    quote, change = decision.quote, decision.change
    sent = from_data(QuotePaper, (quote.frozen or {})["paper"])
    offered = from_data(ChangePaper, (change.frozen or {})["paper"]) if change else None
    paper: QuotePaper | ChangePaper = offered or sent
    at = timezone.localtime(decision.decided_at)
    return AcceptancePaper(
        letterhead=paper.letterhead,
        addressee=paper.addressee,
        number=sent.number,
        version=sent.version,
        change=change.number if change else None,
        title=paper.title,
        options=() if offered else sent.options,
        currency=paper.totals.currency,
        gross=paper.totals.gross,
        name=decision.name,
        dated=decision.dated,
        decided_at=f"{at.day} {at:%B %Y, %H:%M} ({at.tzinfo})",
        decided_on=at.date(),
        document_sha256=decision.document_sha256,
        is_letter_size=paper.is_letter_size,
    )
