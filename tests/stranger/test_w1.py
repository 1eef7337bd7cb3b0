"""W1 by a stranger's program: one instrument quoted two ways, to the cent."""

import re
from datetime import UTC, date, datetime
from io import BytesIO

import pytest
from pypdf import PdfReader

from shop.patterns.services.templates import load_starters

NAME = "Solid electric bouzouki"
HIDDEN = ("hours", "labour", "markup", "margin", "contingency", "560.80", "701.00", "2,160")


@pytest.fixture
def template(workshop, program):
    """The starter of that name; each of its lines costs what it lists, and heads are stocked."""
    load_starters()
    policy = {"shop_rate": "45", "material_markup": "0.25", "contingency": "0.10"}
    policy |= {"price_step": "10", "tax_rate": "0.20", "parts": ["0.30", "0.30", "0.40"]}
    program("pricing_policy_set", **policy)
    (found,) = program("templates_list", search=NAME).results
    lines = program("template_lines_list", template=found.id, page_size=200).results
    for line in lines:
        program.edit("template_lines_edit", line.id, waste_rule="none")
    (at_65,) = [line for line in lines if line.cost_likely == "65.000"]
    heads = program(
        "materials_create",
        name="machine heads, 4+4",
        family=at_65.family,
        kept_as="count",
        cost_method="fifo",
        unit="ea",
        replacement_price="65.00",
    )
    program.edit("template_lines_edit", at_65.id, material=heads.id)
    return found.id, heads.id


def quote_for(program, template, name, currency="", **terms):
    client = program("clients_create", name=name, currency=currency).id
    quote = program("quotes_create", client=client, template=template).id
    return program.edit("quotes_edit", quote, **terms).id if terms else quote


@pytest.fixture
def osric(program, template):
    return quote_for(program, template[0], "Osric Pondweed", shipping="60.00")


@pytest.fixture
def lune(program, template):
    abroad = {"tax_kind": "G", "tax_rate": "0", "currency_buffer": "0.02", "client_step": "5"}
    abroad |= {"exchange_rate": "1.17", "exchange_rate_on": date(2027, 3, 2)}
    return quote_for(
        program, template[0], "Lune Farthing-Quill", "USD", shipping="140.00", **abroad
    )


def steps_of(figures):
    """Return the amounts of figures and of all that they are the sum of, by their keys."""
    found = {}
    for figure in figures:
        found |= steps_of(figure.parts) | {figure.key: figure.amount}
    return found


def amounts(price):
    return [part.amount for part in price.parts]


def test_osric_at_home_pays_tax_in_three_parts(program, osric):
    price = program("quotes_price_read", osric)
    steps = steps_of(price.steps)
    assert price.hours == "48.00"
    assert [steps[key] for key in ("labour", "materials-cost", "materials", "contingency")] == [
        "2160.000", "560.800", "701.000", "216.000",
    ]  # fmt: skip
    assert (price.price, price.net, price.tax, price.gross) == (
        "3080.000", "3140.000", "628.000", "3768.000",
    )  # fmt: skip
    assert amounts(price) == ["1130.400", "1130.400", "1507.200"]
    issued = program("quotes_issue", osric)
    assert (issued.number, issued.valid_until) == ("Q-2027-001", date(2027, 4, 1))


def test_lune_abroad_pays_in_her_own_money_with_a_buffer(program, lune):
    price = program("quotes_price_read", lune)
    assert (price.currency, price.home_net, price.tax) == ("USD", "3220.000", "0.000")
    steps = steps_of([price.client_net])
    assert (steps["converted"], price.gross) == ("3767.400", "3845.000")
    assert amounts(price) == ["1153.500", "1153.500", "1538.000"]


def paper_of(program, quote):
    return program("quotes_document_read", quote).payload.read()


def test_a_dearer_part_reaches_new_quotes_but_no_issued_one(program, template, osric, lune, clock):
    sent = {quote: program("quotes_issue", quote).gross for quote in (osric, lune)}
    papers = {quote: paper_of(program, quote) for quote in sent}
    clock(datetime(2027, 3, 20, 10, tzinfo=UTC))
    program("materials_prices_add", template[1], price="74.00")
    for quote, gross in sent.items():
        assert program("quotes_read", quote).gross == gross
        assert paper_of(program, quote) == papers[quote]
    new = quote_for(program, template[0], "Osric Pondweed")
    price = program("quotes_price_read", new)
    steps = steps_of(price.steps)
    assert (steps["materials-cost"], steps["materials"]) == ("569.800", "712.250")
    assert price.price == "3090.000"


def test_a_quote_that_has_expired_is_not_accepted_and_its_second_version_is_dearer(
    program, template, osric, clock
):
    program("quotes_issue", osric)
    program("materials_prices_add", template[1], price="74.00")
    clock(datetime(2027, 4, 2, 9, tzinfo=UTC))
    declined = program("quotes_accept", osric, expect=409)
    assert "expired on 1 April 2027" in declined.detail
    second = program("quotes_issue", program("quotes_revise", osric).id)
    assert (second.number, second.version) == ("Q-2027-001", 2)
    assert program("quotes_price_read", second.id).price == "3090.000"


@pytest.mark.parametrize("which", ["osric", "lune"])
def test_the_client_reads_no_hours_rate_markup_or_contingency(program, which, request, client):
    quote = request.getfixturevalue(which)
    program("quotes_issue", quote)
    pages = PdfReader(BytesIO(paper_of(program, quote))).pages
    paper = "\n".join(page.extract_text() for page in pages)
    link = program("client_links_create", quote=quote, expires_on=date(2027, 4, 1))
    shown = client.get("/" + link.address.split("/", 3)[3]).content.decode()
    page = re.sub(r"<(style|script).*?</\1>|<[^>]*>", " ", shown, flags=re.DOTALL)
    for text in (paper, page):
        assert NAME in text
        assert [word for word in HIDDEN if word in text.lower()] == []
