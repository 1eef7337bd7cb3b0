"""From a paper's data to PDF: the same data always gives the same bytes."""

from hashlib import sha256
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

STYLE = Path(__file__).with_name("paper.css")


def print_paper(template: str, paper: Any, *, made_on: str) -> bytes:
    """Return the PDF (tagged, PDF/UA-1) of `paper` laid out by `template`.

    `made_on` is the ISO day written into it as its date; the clock is not read.
    """
    from weasyprint import CSS, HTML

    html = paper_html(template, paper, made_on=made_on)
    sheets = [CSS(string=STYLE.read_text())]
    written: bytes = HTML(string=html).write_pdf(
        stylesheets=sheets,
        pdf_variant="pdf/ua-1",
        pdf_identifier=sha256(html.encode()).digest()[:16],
        custom_metadata=False,
    )
    return written


def paper_html(template: str, paper: Any, *, made_on: str) -> str:
    """Return the HTML behind a paper. Amounts are set in the paper's own currency, unnamed."""
    currency = paper.totals.currency if hasattr(paper, "totals") else paper.currency
    context = {"paper": paper, "workshop": {"currency": currency}, "made_on": made_on}
    return render_to_string(template, context)
