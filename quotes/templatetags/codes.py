"""Payment codes as pictures."""

from django import template
from django.utils.safestring import SafeString, mark_safe

register = template.Library()


@register.simple_tag
def payment_code(text: str) -> SafeString:
    """Draw the payment code as SVG: error level M, at most version 13 (EPC069-12)."""
    import segno

    code = segno.make(text, error="m", boost_error=False, micro=False)
    drawn: str = code.svg_inline(
        scale=3, border=4, svgclass=None, lineclass=None, title="Payment details as a code to scan"
    )
    return mark_safe(drawn)
