"""From a template to PDF."""

from typing import Any

from django.template.loader import render_to_string


def write_pdf(template: str, context: dict[str, Any]) -> bytes:
    """Return the PDF (tagged, PDF/UA-1) of `template`, which carries its own style."""
    from weasyprint import HTML

    html = render_to_string(template, context)
    written: bytes = HTML(string=html).write_pdf(pdf_variant="pdf/ua-1", custom_metadata=False)
    return written
