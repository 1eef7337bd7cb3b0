"""From a paper's data to PDF: the same data always gives the same bytes."""

from datetime import UTC, datetime
from functools import partial
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from django.template.loader import render_to_string

from inventory.base.attempts import run_unlocked
from inventory.base.documents import fitted, picture_inside
from quotes.models import PaperLook
from quotes.papers.documents.hybrid import attach_invoice
from quotes.papers.queries import paper_look

STYLE = Path(__file__).with_name("paper.css")


def print_paper(template: str, paper: Any, *, made_on: str, xml: bytes = b"") -> bytes:
    """Return the PDF of `paper` laid out by `template`, tagged for screen readers (PDF/UA-1).

    `made_on` is the ISO day written into it as its date; the clock is not read. With `xml`, an
    invoice as structured data, it is a tagged PDF/A-3 with that file inside. An act that keeps
    the paper has it laid out before anything is locked. Raises PressBusy where too many papers
    are asked for at once.
    """
    html = paper_html(template, paper, made_on=made_on)
    layout = partial(_laid_out, html, made_on, xml)
    return run_unlocked((html, made_on, xml), layout, in_turn=True)


def _laid_out(html: str, made_on: str, xml: bytes) -> bytes:
    document, scale = fitted(html, STYLE.read_text(), goal=1)
    # The day of the paper, not of the clock: printed again, it must be the same bytes.
    made_at = datetime.fromisoformat(made_on).replace(tzinfo=UTC)
    written: bytes = document.write_pdf(
        zoom=float(scale),
        pdf_variant="pdf/a-3a" if xml else "pdf/ua-1",
        pdf_identifier=sha256(html.encode() + xml).digest()[:16],
        attachments=[attach_invoice(document, xml, made_at)] if xml else None,
    )
    return written


def paper_html(template: str, paper: Any, *, made_on: str) -> str:
    """Return the HTML behind a paper, in the look of today.

    Amounts are set in the paper's own currency, unnamed.
    """
    currency = paper.totals.currency if hasattr(paper, "totals") else paper.currency
    look = paper_look()
    context = {
        "paper": paper,
        "look": look,
        "logo": _logo_inside(look),
        "workshop": SimpleNamespace(currency=currency),
        "made_on": made_on,
    }
    return render_to_string(template, context)


def _logo_inside(look: PaperLook) -> str:
    if not look.logo:
        return ""
    with look.logo.open() as picture:
        return picture_inside(picture)
