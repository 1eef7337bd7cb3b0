"""From a template to PDF, in faces embedded from packages: each machine prints the same bytes."""

import atexit
import threading
from base64 import b64encode
from decimal import Decimal
from functools import lru_cache, partial
from importlib.resources import files
from io import BytesIO
from typing import Any

from django.core.files import File
from django.template.loader import render_to_string

from inventory.base.attempts import run_unlocked

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

WEB_CUTS = {
    "sans-400": (SANS, "SourceSansPro-Regular.ttf"),
    "sans-600": (SANS, "SourceSansPro-Semibold.ttf"),
    "serif-400": (SERIF, "SourceSerifPro-Regular.ttf"),
}
"""The cuts that pages are set in, by the names in their addresses."""

WEB_LETTERS = [*range(0x20, 0x250), *range(0x2010, 0x2060), *range(0x20A0, 0x20C0), 0x2212]
"""Latin letters, punctuation, currency signs and the minus sign."""

LETTER_SIZE_COUNTRIES = frozenset({"US", "CA", "MX", "PH", "CL", "CO"})
"""Where office paper is Letter; from memory, and the shop's own country decides."""


_of_this_thread = threading.local()
# As the program ends, WeasyPrint's own modules may go before what they made.
atexit.register(lambda: vars(_of_this_thread).clear())


def page_size(country: str) -> str:
    """Return the size of office paper in a `country` (ISO 3166): A4 or Letter."""
    return "Letter" if is_letter_size(country) else "A4"


def is_letter_size(country: str) -> bool:
    """Say whether office paper is Letter in a `country`."""
    return country in LETTER_SIZE_COUNTRIES


def write_pdf(template: str, context: dict[str, Any], *, goal: int = 0) -> bytes:
    """Return the PDF (tagged, PDF/UA-1) of `template`, which carries its own style.

    Set a little smaller if that saves the one page above `goal`; 0 sets it as it is. Raises
    PressBusy where too many papers are asked for at once.
    """
    html = render_to_string(template, context)
    return run_unlocked((html, goal), partial(_written, html, goal), in_turn=True)


def _written(html: str, goal: int) -> bytes:
    document, scale = fitted(html, goal=goal)
    written: bytes = document.write_pdf(
        zoom=float(scale), pdf_variant="pdf/ua-1", custom_metadata=False
    )
    return written


SCALES = (Decimal(1), Decimal("0.95"), Decimal("0.9"), Decimal("0.85"))
"""How small a paper may be set: at the last, letters of 10 points have 8.5."""


def fitted(html: str, style: str = "", *, goal: int) -> tuple[Any, Decimal]:
    """Lay out `html` by `style` (CSS) and return it with the scale it is to be written at.

    It is laid out on pages that are larger by the scale, the first that saves the one page above
    `goal`; a longer paper, and one that never fits, stays at full size.
    """
    from weasyprint import HTML

    read = HTML(string=html, url_fetcher=nothing_fetched())
    whole = _laid_out(read, style)
    if goal and len(whole.pages) == goal + 1:
        width, height = (
            _millimetres(side) for side in (whole.pages[0].width, whole.pages[0].height)
        )
        # A signature alone on a second page looks like an accident; smaller letters don't, down
        # to 8.5 points.
        for scale in SCALES[1:]:
            smaller = _laid_out(read, style, _page(width / scale, height / scale, scale))
            if len(smaller.pages) <= goal:
                return smaller, scale
    return whole, SCALES[0]


def _laid_out(read: Any, *styles: str) -> Any:
    from weasyprint import CSS

    cuts, faces = paper_faces()
    sheets = [CSS(string=style) for style in styles if style]
    return read.render(stylesheets=[cuts, *sheets], font_config=faces)


def _page(width: Decimal, height: Decimal, scale: Decimal) -> str:
    """Set the size of the page; a rule that is drawn on it keeps its true millimetres."""
    one = 1 / scale
    return (
        f"@page {{ size: {width:f}mm {height:f}mm !important }}"
        f"html {{ --mm-1: {one:f}mm; --mm-5: {5 * one:f}mm; --mm-10: {10 * one:f}mm }}"
    )


def _millimetres(pixels: float) -> Decimal:
    return (Decimal(str(pixels)) * Decimal("25.4") / 96).quantize(Decimal("0.001"))


PICTURE_INSIDE = "data:image/jpeg;base64,"


def picture_inside(picture: File) -> str:
    """Return an open photo (JPEG) as an address that holds the picture itself."""
    return f"{PICTURE_INSIDE}{b64encode(picture.read()).decode()}"


PAPERS_MM = {"A4": (Decimal(210), Decimal(297)), "Letter": (Decimal("215.9"), Decimal("279.4"))}


def nothing_fetched() -> Any:
    """Return what WeasyPrint asks for addresses: it opens none but a picture written inside one.

    A paper is whole as it is handed over, and an address that got into one may be a trap.
    """
    from weasyprint.urls import URLFetcher

    class PicturesInside(URLFetcher):  # type: ignore[misc] # WeasyPrint has no types
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            if not url.startswith(PICTURE_INSIDE):
                raise ValueError("A paper opens no address.")
            return super().fetch(url, headers)

    return PicturesInside(allowed_protocols=("data",))


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
    # One for each thread: each one that is made keeps 0.3 MB for good, and Pango's maps of fonts
    # are not for two threads at once.
    try:
        made: tuple[Any, Any] = _of_this_thread.faces
    except AttributeError:
        made = _of_this_thread.faces = _made_faces()
    return made


def _made_faces() -> tuple[Any, Any]:
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    faces = FontConfiguration()
    return CSS(string=face_rules(), font_config=faces), faces


def _address(family: str, file: str) -> str:
    return (files(_PACKAGES[family]) / "files" / file).as_uri()  # type: ignore[attr-defined,no-any-return]


@lru_cache
def web_face(cut: str) -> bytes:
    """Return a cut of `WEB_CUTS` as WOFF2 with `WEB_LETTERS`; its figures have one width."""
    from fontTools import subset

    family, file = WEB_CUTS[cut]
    options = subset.Options(flavor="woff2", hinting=False)
    options.layout_features = ["kern", "liga", "ccmp", "mark", "locl"]
    path = files(_PACKAGES[family]) / "files" / file
    with subset.load_font(str(path), options) as font:
        subsetter = subset.Subsetter(options)
        subsetter.populate(unicodes=WEB_LETTERS)
        subsetter.subset(font)
        written = BytesIO()
        subset.save_font(font, written, options)
    return written.getvalue()
