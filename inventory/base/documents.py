"""From a template to PDF, in faces embedded from packages: each machine prints the same bytes."""

from decimal import Decimal
from functools import lru_cache
from importlib.resources import files
from typing import Any

from django.template.loader import render_to_string

SANS, SERIF = "Source Sans Pro", "Source Serif Pro"
_PACKAGES = {SANS: "font_source_sans_pro", SERIF: "font_source_serif_pro"}
_CUTS = (
    (SANS, 400, "normal", "SourceSansPro-Regular.otf"),
    (SANS, 400, "italic", "SourceSansPro-It.otf"),
    (SANS, 600, "normal", "SourceSansPro-Semibold.otf"),
    (SERIF, 400, "normal", "SourceSerifPro-Regular.otf"),
    (SERIF, 400, "italic", "SourceSerifPro-It.otf"),
    (SERIF, 600, "normal", "SourceSerifPro-Semibold.otf"),
)
"""Family, weight, style and file of each cut. Open-licensed (SIL OFL 1.1), tabular figures."""

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


@lru_cache
def face_rules() -> str:
    """Return the `@font-face` rules of all cuts, by the addresses of their files."""
    return "\n".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; font-style: {style}; '
        f'src: url("{_address(family, file)}") }}'
        for family, weight, style, file in _CUTS
    )


def paper_faces() -> tuple[Any, Any]:
    """Return the faces as a style sheet of WeasyPrint, and the configuration it needs."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    faces = FontConfiguration()
    return CSS(string=face_rules(), font_config=faces), faces


def _address(family: str, file: str) -> str:
    return (files(_PACKAGES[family]) / "files" / file).as_uri()  # type: ignore[attr-defined,no-any-return]
