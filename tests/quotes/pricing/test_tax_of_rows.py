"""Rows with a tax of their own, prices typed with tax, and tax that can't be reclaimed."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.client_page.services.answers import accept_by_link
from quotes.client_page.services.links import create_link
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.models import Quote
from quotes.papers.documents.quote import draft_paper
from quotes.pricing.queries.choices import live_choices
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.services import add_tax_rate
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import copy_quote
from quotes.quoting.services.edit import edit_quote, set_price
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row, edit_rows
from quotes.year.queries import year_books
from tests.factories import NOW
from tests.quotes.factories import ON, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db
SEVEN = Decimal("0.07")


@pytest.fixture
def template(workshop):
    make_policy(shipping=Decimal(60))
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    make_template_line(template, "Top", cost_likely=Decimal(80))
    make_template_line(template, "String set", cost_likely=Decimal("8.00"))
    return template


@pytest.fixture
def mixed(template):
    """1,090.00 for the instrument and 60.00 of shipping at 20 %, 10.00 of strings at 7 %."""
    quote = make_quote(template=template)
    strings = quote.materials.get(name="String set")
    edit_rows(quote=quote, materials={strings.pk: {"tax_kind": "S", "tax_rate": SEVEN}})
    return Quote.objects.get(pk=quote.pk)


def groups(document):
    return [(group.rate.words, group.taxable, group.tax) for group in document.groups]


def test_a_row_with_a_rate_of_its_own_is_sold_beside_the_instrument(mixed):
    offer = live_offer(mixed, on=ON)
    assert offer.sheet.price == Decimal("1090.00")
    assert groups(offer.document) == [
        ("20 %", Decimal("1150.00"), Decimal("230.00")),
        ("7 %", Decimal("10.00"), Decimal("0.70")),
    ]


def test_its_line_on_the_paper_says_its_rate(mixed):
    paper = draft_paper(mixed, ON)
    assert [line.words for line in paper.totals.lines] == [
        "Solid electric bouzouki, 20 %",
        "String set, 7 %",
        "Shipping, 20 %",
    ]
    assert [line.words for line in paper.totals.taxes] == [
        "VAT 20 % of 1,150.00",
        "VAT 7 % of 10.00",
    ]


@pytest.mark.parametrize(
    ("kind", "words"), [("Z", "Zero-rated"), ("E", "Exempt from tax")], ids=["zero-rated", "exempt"]
)
def test_a_row_may_be_untaxed_in_a_taxed_quote(mixed, kind, words):
    book = add_row(quote=mixed, of="extra", name="Tune book", cost=Decimal(20), tax_kind=kind)
    assert book.tax_rate is None
    document = live_offer(Quote.objects.get(pk=mixed.pk), on=ON).document
    assert (words, Decimal("20.00"), Decimal("0.00")) in groups(document)


def test_abroad_everything_is_taxed_as_the_whole(mixed):
    edit_quote(quote=mixed, tax_kind="G", tax_rate=Decimal(0))
    offer = live_offer(Quote.objects.get(pk=mixed.pk), on=ON)
    assert groups(offer.document) == [("Export", Decimal("1160.00"), Decimal("0.00"))]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"tax_kind": "S"}, "String set: give its own tax rate"),
        ({"tax_rate": SEVEN}, "a tax rate goes only with “beside the instrument, at its own rate”"),
        ({"tax_kind": "Z", "tax_rate": SEVEN}, "a tax rate goes only with"),
    ],
    ids=["no rate", "no kind", "zero rated with a rate"],
)
def test_kind_and_rate_that_disagree_are_refused(template, fields, sentence):
    quote = make_quote(template=template)
    row = quote.materials.get(name="String set")
    with pytest.raises(Refusal, match=sentence):
        edit_rows(quote=quote, materials={row.pk: fields})


def test_each_line_of_a_part_is_named_after_what_is_sold_at_its_rate(mixed):
    issued = issue_quote(quote=mixed, on=ON, now=NOW)
    accepted = accept_quote(quote=issued, on=ON, now=NOW).quote
    invoice = issue_invoice(quote=accepted, part=0, on=ON)
    assert [line["words"] for line in invoice.frozen["paper"]["totals"]["lines"]] == [
        "Deposit: Solid electric bouzouki, 20 %",
        "Deposit: String set, 7 %",
    ]


def test_what_is_given_away_has_no_rate_of_its_own(template):
    quote = make_quote(template=template)
    gift = {"name": "Gift", "cost": Decimal(-5), "tax_kind": "S", "tax_rate": SEVEN}
    add_row(quote=quote, of="extra", **gift)
    with pytest.raises(Refusal, match="Gift: the cost is -5"):
        live_offer(Quote.objects.get(pk=quote.pk), on=ON)


def test_parts_and_credits_of_a_mixed_price_come_to_the_whole_and_into_the_year(mixed):
    issued = issue_quote(quote=mixed, on=ON, now=NOW)
    accepted = accept_quote(quote=issued, on=ON, now=NOW).quote
    parts = [issue_invoice(quote=accepted, part=part, on=ON) for part in range(3)]
    assert sum(part.gross for part in parts) == accepted.gross == Decimal("1390.70")
    assert [(row.words, row.net, row.tax) for row in year_books(2027).taxes] == [
        ("20 %", Decimal("1150.00"), Decimal("230.00")),
        ("7 %", Decimal("10.00"), Decimal("0.70")),
    ]
    for part in parts:
        credit_invoice(invoice=part, on=ON, why="taken back")
    assert [(row.net, row.tax) for row in year_books(2027).taxes] == [(0, 0), (0, 0)]


def test_an_option_with_a_rate_of_its_own_keeps_it_when_the_client_chooses_it(template):
    option = template.options.create(name="Second string set")
    make_template_line(template, "Spare strings", cost_likely=Decimal("8.00"), option=option)
    quote = make_quote(template=template)
    row = quote.materials.get(name="Spare strings")
    edit_rows(quote=quote, materials={row.pk: {"tax_kind": "S", "tax_rate": SEVEN}})
    edit_quote(quote=quote, offered=["Second string set"])
    quote = Quote.objects.get(pk=quote.pk)
    (choice,) = live_choices(quote, live_offer(quote, on=ON), on=ON)
    assert [(share.rate.words, share.net) for share in choice.rates] == [("7 %", Decimal("10.00"))]
    issued = issue_quote(quote=quote, on=ON, now=NOW)
    secret = create_link(quote=issued, expires_on=ON, on=ON, now=NOW).secret
    wanted = ["Second string set"]
    said = {"name": "Osric Pondweed", "dated": ON, "on": ON, "now": NOW}
    answer = accept_by_link(secret=secret, wanted=wanted, **said)
    assert answer.quote.gross == issued.gross + Decimal("10.70")


def test_a_copy_takes_the_new_rate_of_the_same_name(mixed):
    add_tax_rate(since=ON, rate=SEVEN, name="reduced")
    later = ON.replace(year=2028)
    add_tax_rate(since=later, rate=Decimal("0.09"), name="reduced")
    edit_quote(quote=mixed, shipping_tax_rate=SEVEN)
    copy = copy_quote(quote=Quote.objects.get(pk=mixed.pk), on=later)
    assert copy.materials.get(name="String set").tax_rate == Decimal("0.09")
    assert copy.shipping_tax_rate == Decimal("0.09")


def test_prices_typed_with_tax_have_it_taken_out_at_their_own_rates(mixed):
    edit_quote(quote=mixed, prices_with_tax=True)
    add_row(quote=mixed, of="extra", name="Strap", cost=Decimal("24.00"))
    case = {"name": "Case", "cost": Decimal("107.00"), "tax_kind": "S", "tax_rate": SEVEN}
    add_row(quote=mixed, of="extra", **case)
    sheet = live_offer(Quote.objects.get(pk=mixed.pk), on=ON).sheet
    assert sheet.amount("own") == Decimal("20.00")
    assert sheet.amount("shipping") == Decimal("50.00")
    assert sheet.amount("beside") == Decimal("110.00")
    # 900.00 + 100.00 + 90.00 + 20.00 are 1,332.00 with tax, which goes up to 1,340.00.
    assert sheet.price == Decimal("1116.67")


@pytest.mark.parametrize("amount", ["1500", "1499.99"])
def test_a_price_set_with_tax_is_met_where_prices_are_typed_with_tax(mixed, amount):
    edit_quote(quote=mixed, prices_with_tax=True)
    draft = set_price(quote=mixed, amount=Decimal(amount), is_gross=True)
    edit_quote(quote=draft, shipping=Decimal(0))
    document = live_offer(Quote.objects.get(pk=mixed.pk), on=ON).document
    assert document.gross == Decimal(amount) + Decimal("10.70")


def test_a_price_with_tax_that_no_net_meets_is_met_by_a_cent_of_rounding(template):
    # At 21 % net 3,082.64 makes 3,729.99 and 3,082.65 makes 3,730.01.
    quote = make_quote(template=template)
    edit_quote(quote=quote, prices_with_tax=True, tax_rate=Decimal("0.21"), shipping=Decimal(0))
    set_price(quote=quote, amount=Decimal("3730.00"), is_gross=True)
    issued = issue_quote(quote=Quote.objects.get(pk=quote.pk), on=ON, now=NOW)
    assert issued.gross == Decimal("3730.00")
    accepted = accept_quote(quote=issued, on=ON, now=NOW).quote
    parts = [issue_invoice(quote=accepted, part=part, on=ON) for part in range(3)]
    assert sum(part.gross for part in parts) == Decimal("3730.00")
    assert sum(part.net for part in parts) == Decimal("3082.64")


def test_who_is_not_registered_pays_the_tax_in_the_material(workshop, template):
    make_policy(shipping=Decimal(0), bought_tax_rate=Decimal("0.20"))
    workshop.tax_registered = False
    workshop.save()
    quote = make_quote(template=template)
    offer = live_offer(quote, on=ON)
    assert offer.sheet.amount("materials-cost") == Decimal("105.60")
    assert offer.materials[0].how.endswith("with 20 % tax")
    assert groups(offer.document)[0][0] == "The maker is not registered for tax"
    row = quote.materials.get(name="Top")
    edit_rows(quote=quote, materials={row.pk: {"cost_override": Decimal(90)}})
    by_hand = live_offer(Quote.objects.get(pk=quote.pk), on=ON).materials[0]
    assert by_hand.cost == Decimal(90)


def test_who_is_registered_reclaims_it(template):
    make_policy(bought_tax_rate=Decimal("0.20"))
    quote = make_quote(template=template)
    assert live_offer(quote, on=ON).sheet.amount("materials-cost") == Decimal("88.00")
