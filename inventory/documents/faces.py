"""The faces of every paper: embedded from packages, so that each machine prints the same bytes."""

from functools import lru_cache
from importlib.resources import files
from typing import Any

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
