"""From a template to PDF."""

from decimal import Decimal
from typing import Any

from django.template.loader import render_to_string

from inventory.documents.faces import paper_faces

LETTER_SIZE_COUNTRIES = frozenset({"US", "CA", "MX", "PH", "CL", "CO"})
"""Where office paper is Letter; from memory, and the shop's own country decides."""


def page_size(country: str) -> str:
    """Return the size of office paper in a `country` (ISO 3166): A4 or Letter."""
    return "Letter" if is_letter_size(country) else "A4"


def is_letter_size(country: str) -> bool:
    """Say whether office paper is Letter in a `country`."""
    return country in LETTER_SIZE_COUNTRIES


def write_pdf(template: str, context: dict[str, Any]) -> bytes:
    """Return the PDF (tagged, PDF/UA-1) of `template`, which carries its own style."""
    from weasyprint import HTML

    html = render_to_string(template, context)
    document = HTML(string=html, url_fetcher=nothing_fetched())
    cuts, faces = paper_faces()
    written: bytes = document.write_pdf(
        stylesheets=[cuts], font_config=faces, pdf_variant="pdf/ua-1", custom_metadata=False
    )
    return written


PAPERS_MM = {"A4": (Decimal(210), Decimal(297)), "Letter": (Decimal("215.9"), Decimal("279.4"))}


def nothing_fetched() -> Any:
    """Return what WeasyPrint asks for addresses: it opens none.

    A paper is whole as it is handed over, and an address that got into one may be a trap.
    """
    from weasyprint.urls import URLFetcher

    return URLFetcher(allowed_protocols=())
