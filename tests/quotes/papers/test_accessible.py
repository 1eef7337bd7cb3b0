"""Every paper is one that a screen reader and an archive can read.

Checked is what ISO 14289-1 (PDF/UA-1) and ISO 19005-3 (PDF/A-3) ask of a file, from memory, and its
bytes can show; that words and tags mean the right thing is for eyes.
"""

from io import BytesIO

import pytest
from pypdf import PdfReader
from pypdf.generic import ArrayObject, ContentStream, DictionaryObject, IndirectObject

from tests.quotes.papers.every_paper import SIZES, every_paper, in_country

pytestmark = pytest.mark.django_db

TEXT = {b"Tj", b"TJ", b"'", b'"'}


@pytest.mark.parametrize("country", SIZES)
def test_every_paper_can_be_read_by_whoever_can_not_see_it(lettered, country):
    for name, printed in every_paper(in_country(lettered, country)).items():
        reader = PdfReader(BytesIO(printed))
        faults = [*faults_of(reader), *page_faults(reader, SIZES[country])]
        is_archive = name in {"invoice", "credit note"}
        faults += archive_faults(reader) if is_archive else reader_faults(reader)
        assert (name, faults) == (name, [])


def test_a_long_specification_runs_over_pages_and_keeps_its_words(lettered):
    reader = PdfReader(BytesIO(every_paper(lettered)["quote"]))
    text = [page.extract_text() for page in reader.pages]
    assert len(text) > 2
    assert all(f"{place}. Scale" in "".join(text) for place in range(90))
    assert all(f"{number} / {len(text)}" in page for number, page in enumerate(text, start=1))


def test_the_checks_can_fail():
    from weasyprint import HTML

    reader = PdfReader(BytesIO(HTML(string="<p>plain <img src='data:,'></p>").write_pdf()))
    assert set(faults_of(reader)) >= {"not tagged", "no language", "no title", "title not shown"}
    assert "text outside the tags" in page_faults(reader, SIZES["NL"])
    assert reader_faults(reader) == ["not said to be PDF/UA-1"]
    assert set(archive_faults(reader)) >= {"not said to be PDF/A-3a", "no output intent"}


def faults_of(reader):
    """What both standards ask of a whole file."""
    root = reader.trailer["/Root"]
    tags = list(nodes(root.get("/StructTreeRoot", {})))
    faults = {
        "not tagged": not root.get("/MarkInfo", {}).get("/Marked") or not tags,
        "no language": not root.get("/Lang"),
        "no title": not (reader.metadata or {}).get("/Title"),
        "title not shown": not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle"),
        "a script": "/JavaScript" in root.get("/Names", {}) or "/OpenAction" in root,
        "encrypted": "/Encrypt" in reader.trailer,
    }
    kinds = [tag.get("/S") for tag in tags]
    faults["no first heading"] = kinds.count("/H1") != 1
    faults["a heading is left out"] = any(
        f"/H{n}" in kinds and f"/H{n - 1}" not in kinds for n in (3, 4)
    )
    faults["a figure without words"] = any(
        tag.get("/S") == "/Figure" and not tag.get("/Alt") for tag in tags
    )
    faults["a cell without a heading"] = any(
        tag.get("/S") == "/TD" and "/Headers" not in tag.get("/A", {}) for tag in tags
    )
    return [words for words, is_one in faults.items() if is_one]


def page_faults(reader, size):
    """What is asked of each page: its size, embedded letters, an order, all text in tags."""
    faults = set()
    for page in reader.pages:
        if tuple(round(float(side)) for side in page.mediabox[2:]) != size:
            faults.add("another size")
        if page.get("/Tabs") != "/S" and "/Annots" in page:
            faults.add("no order of the links")
        for font in page["/Resources"].get("/Font", {}).values():
            if not embedded(font.get_object()):
                faults.add("letters that are not embedded")
            if "/ToUnicode" not in font.get_object():
                faults.add("letters that can't be copied")
        depth = 0
        for _, operator in ContentStream(page.get_contents(), reader).operations:
            depth += {b"BDC": 1, b"BMC": 1, b"EMC": -1}.get(operator, 0)
            if operator in TEXT and depth == 0:
                faults.add("text outside the tags")
    return sorted(faults)


def reader_faults(reader):
    """What tells PDF/UA-1."""
    says = b'pdfuaid:part="1"' in xmp(reader) or b"<pdfuaid:part>1<" in xmp(reader)
    return [] if says else ["not said to be PDF/UA-1"]


def archive_faults(reader):
    """What tells PDF/A-3 with tags, and the file that travels inside."""
    root = reader.trailer["/Root"]
    says = b'pdfaid:part="3"' in xmp(reader) and b'pdfaid:conformance="A"' in xmp(reader)
    intents = [one.get_object() for one in root.get("/OutputIntents", [])]
    inside = [one.get_object() for one in root.get("/AF", [])]
    faults = {
        "not said to be PDF/A-3a": not says,
        "no identifier": "/ID" not in reader.trailer,
        "no output intent": not any("/DestOutputProfile" in intent for intent in intents),
        "no file inside": {one.get("/AFRelationship") for one in inside} != {"/Alternative"},
        "its kind is not said": any("/Subtype" not in one["/EF"]["/F"] for one in inside),
    }
    return [words for words, is_one in faults.items() if is_one]


def xmp(reader):
    found = reader.xmp_metadata
    return found.stream.get_data() if found else b""


def nodes(node):
    """Every tag below a node of the structure tree."""
    node = node.get_object() if isinstance(node, IndirectObject) else node
    if isinstance(node, ArrayObject):
        for child in node:
            yield from nodes(child)
    elif isinstance(node, DictionaryObject):
        if "/S" in node:
            yield node
        yield from nodes(node.get("/K"))


def embedded(font):
    own = font.get("/DescendantFonts", [font])[0].get_object()
    described = own["/FontDescriptor"].get_object()
    return any(key in described for key in ("/FontFile", "/FontFile2", "/FontFile3"))
