"""QR codes (ISO/IEC 18004) to point a camera at."""

from django.utils.safestring import SafeString, mark_safe


def drawn_code(text: str) -> SafeString:
    """Draw `text` as an SVG image, black on white in every theme."""
    import segno

    code = segno.make(text, error="m", micro=False)
    drawn: str = code.svg_inline(scale=5, border=4, light="#fff", svgclass=None, lineclass=None)
    return mark_safe(drawn)
