"""What turns a printed invoice into one that a computer reads too: a file inside PDF/A-3."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from quotes.papers.documents.structured import FILE_NAME

SPACE = "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"
PROPERTIES = {
    "DocumentFileName": (FILE_NAME, "The name of the embedded file"),
    "DocumentType": ("INVOICE", "What the embedded file is"),
    "Version": ("1.0", "The version of the standard that the file follows"),
    "ConformanceLevel": ("EN 16931", "The profile of the standard that the file follows"),
}
"""Property → its value, and a description in our own words."""


def attach_invoice(document: Any, xml: bytes, made_at: datetime) -> Any:
    """Name `xml` in the metadata of a WeasyPrint document and return it as an attachment."""
    from weasyprint import Attachment

    metadata = document.metadata
    metadata.generate_rdf_metadata = _described(metadata.generate_rdf_metadata)
    return Attachment(
        string=xml,
        name=FILE_NAME,
        description="The invoice as structured data",
        created=made_at,
        modified=made_at,
        relationship="Alternative",
    )


def _described(plain: Callable[..., bytes]) -> Callable[..., bytes]:
    def described(*args: Any) -> bytes:
        return plain(*args).replace(b"</rdf:RDF>", _descriptions() + b"</rdf:RDF>")

    return described


def _descriptions() -> bytes:
    """The file's own metadata, and the extension schema that PDF/A wants them declared by."""
    values = "".join(f"<fx:{name}>{value}</fx:{name}>" for name, (value, _) in PROPERTIES.items())
    declared = "".join(
        '<rdf:li rdf:parseType="Resource">'
        f"<pdfaProperty:name>{name}</pdfaProperty:name>"
        "<pdfaProperty:valueType>Text</pdfaProperty:valueType>"
        "<pdfaProperty:category>external</pdfaProperty:category>"
        f"<pdfaProperty:description>{words}</pdfaProperty:description></rdf:li>"
        for name, (_, words) in PROPERTIES.items()
    )
    return (
        f'<rdf:Description rdf:about="" xmlns:fx="{SPACE}">{values}</rdf:Description>'
        '<rdf:Description rdf:about=""'
        ' xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"'
        ' xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"'
        ' xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">'
        '<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">'
        "<pdfaSchema:schema>Factur-X</pdfaSchema:schema>"
        f"<pdfaSchema:namespaceURI>{SPACE}</pdfaSchema:namespaceURI>"
        "<pdfaSchema:prefix>fx</pdfaSchema:prefix>"
        f"<pdfaSchema:property><rdf:Seq>{declared}</rdf:Seq></pdfaSchema:property>"
        "</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"
    ).encode()
