"""W1: one instrument quoted two ways, through the services."""

from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO

import pytest
from pypdf import PdfReader

from inventory.base.refusals import Refusal
from quotes.clients.services import add_client, open_commission
from quotes.models import Quote
from quotes.pricing.queries.offer import live_offer, offer_of
from quotes.quoting.services.decide import accept_quote, expire_quotes
from quotes.quoting.services.draft import draft_quote, revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from tests.quotes.factories import make_machine_heads, make_plain_electric_bouzouki, make_policy

ON = date(2027, 3, 2)
NOW = datetime(2027, 3, 2, 10, 0, tzinfo=UTC)


@pytest.fixture
def template(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_plain_electric_bouzouki()
    template.lines.filter(cost_likely=Decimal(65)).update(material=make_machine_heads())
    return template


def quote_for(name, template, **money):
    client = add_client(name=name, currency=money.pop("client_currency", ""))
    commission = open_commission(client=client, title="Solid electric bouzouki", asked_on=ON)
    quote = draft_quote(commission=commission, template=template, on=ON)
    return edit_quote(quote=quote, **money)


@pytest.fixture
def osric(template):
    return quote_for("Osric Pondweed", template, shipping=Decimal(60))


@pytest.fixture
def lune(template):
    return quote_for(
        "Lune Farthing-Quill",
        template,
        client_currency="USD",
        shipping=Decimal(140),
        tax_kind=Quote.TaxKind.EXPORT,
        tax_rate=Decimal(0),
        exchange_rate=Decimal("1.17"),
        exchange_rate_on=ON,
        client_step=Decimal(5),
    )


def bytes_of(quote):
    with Quote.objects.get(pk=quote.pk).document.open() as document:
        return document.read()


def amounts(offer):
    return [part.amount for part in offer.parts]


def test_the_price_is_made_of_the_published_steps(osric):
    sheet = live_offer(osric, on=ON).sheet
    assert sheet.hours == Decimal(48)
    assert sheet.amount("labour") == Decimal("2160.00")
    assert sheet.amount("materials-cost") == Decimal("560.80")
    assert sheet.amount("materials") == Decimal("701.00")
    assert sheet.amount("contingency") == Decimal("216.00")
    assert sheet.subtotal == Decimal("3077.00")
    assert sheet.price == Decimal("3080.00")


def test_osric_at_home_pays_tax_in_three_parts(osric):
    offer = live_offer(osric, on=ON)
    assert (offer.document.net, offer.document.tax) == (Decimal("3140.00"), Decimal("628.00"))
    assert offer.document.gross == Decimal("3768.00")
    assert amounts(offer) == [Decimal("1130.40"), Decimal("1130.40"), Decimal("1507.20")]


def test_lune_abroad_pays_in_her_own_money_with_a_buffer(lune):
    offer = live_offer(lune, on=ON)
    assert offer.sheet.net == Decimal("3220.00")
    steps = {step.key: step.amount for step in offer.client_price.net.parts}
    assert steps["converted"] == Decimal("3767.40")
    assert steps["converted"] + steps["buffer"] == Decimal("3842.75")
    assert offer.document.tax == 0
    assert offer.document.gross == Decimal("3845.00")
    assert amounts(offer) == [Decimal("1153.50"), Decimal("1153.50"), Decimal("1538.00")]


def test_issued_on_the_second_of_march_and_valid_to_the_first_of_april(osric):
    issued = issue_quote(quote=osric, on=ON, now=NOW)
    assert issued.number == "Q-2027-001"
    assert issued.valid_until == date(2027, 4, 1)


def test_a_dearer_part_reaches_new_quotes_but_no_issued_one(template, osric, lune):
    sent = [issue_quote(quote=quote, on=ON, now=NOW) for quote in (osric, lune)]
    before = [(bytes_of(quote), quote.frozen) for quote in sent]
    heads = template.lines.get(cost_likely=Decimal(65)).material
    heads.replacement_price = Decimal("74.00")
    heads.save()
    for quote, (document, frozen) in zip(sent, before, strict=True):
        fresh = Quote.objects.get(pk=quote.pk)
        assert bytes_of(quote) == document
        assert fresh.frozen == frozen
        assert offer_of(fresh, on=date(2027, 3, 20)).sheet.price == Decimal("3080.00")
    new = quote_for("Osric Pondweed", template)
    sheet = live_offer(new, on=date(2027, 3, 20)).sheet
    assert sheet.amount("materials-cost") == Decimal("569.80")
    assert sheet.amount("materials") == Decimal("712.25")
    assert sheet.subtotal == Decimal("3088.25")
    assert sheet.price == Decimal("3090.00")


def test_on_the_second_of_april_the_quote_has_lapsed_and_version_two_has_new_prices(
    template, osric
):
    issued = issue_quote(quote=osric, on=ON, now=NOW)
    heads = template.lines.get(cost_likely=Decimal(65)).material
    heads.replacement_price = Decimal("74.00")
    heads.save()
    late = datetime(2027, 4, 2, 9, 0, tzinfo=UTC)
    with pytest.raises(Refusal, match=r"expired on 1 April 2027"):
        accept_quote(quote=issued, on=late.date(), now=late)
    assert expire_quotes(on=late.date(), now=late) == [issued]
    second = revise_quote(quote=issued, on=late.date())
    again = issue_quote(quote=second, on=late.date(), now=late)
    assert (again.number, again.version) == ("Q-2027-001", 2)
    assert offer_of(again, on=late.date()).sheet.price == Decimal("3090.00")
    assert Quote.objects.get(pk=issued.pk).state == Quote.State.LAPSED


def test_the_same_through_the_api(template, phone, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    client = phone.post("/api/v1/clients/", {"name": "Lune Farthing-Quill", "currency": "USD"})
    asked = {"client": client.json()["id"], "template": template.pk}
    quote = phone.post("/api/v1/quotes/", asked).json()
    address = f"/api/v1/quotes/{quote['id']}/"
    etag = phone.get(address)["ETag"]
    terms = {
        "shipping": "140.00",
        "tax_kind": "G",
        "tax_rate": "0",
        "exchange_rate": "1.17",
        "exchange_rate_on": "2027-03-02",
        "client_step": "5",
    }
    assert phone.patch(address, terms, headers={"If-Match": etag}).status_code == 200
    price = phone.get(f"{address}price/").json()
    assert (price["price"], price["home_net"]) == ("3080.000", "3220.000")
    assert (price["tax"], price["gross"]) == ("0.000", "3845.000")
    assert [part["amount"] for part in price["parts"]] == ["1153.500", "1153.500", "1538.000"]
    issued = phone.post(f"{address}issue/").json()
    assert (issued["number"], issued["valid_until"]) == ("Q-2027-001", "2027-04-01")
    sent = phone.get(f"{address}document/").content
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW.replace(month=4))
    late = phone.post(f"{address}accept/")
    assert late.status_code == 409
    assert "expired on 1 April 2027" in late.json()["detail"]
    assert phone.get(f"{address}document/").content == sent


def test_the_desk_shows_the_same_price(template, osric, desk):
    text = desk.get(f"/quotes/{osric.pk}/").content.decode()
    for figure in ("2,160.00", "701.00", "216.00", "3,077.00", "3,080.00", "3,768.00", "1,507.20"):
        assert figure in text


@pytest.mark.parametrize("which", ["osric", "lune"])
def test_the_paper_shows_the_client_no_hours_rate_markup_or_contingency(which, request):
    issued = issue_quote(quote=request.getfixturevalue(which), on=ON, now=NOW)
    text = "\n".join(page.extract_text() for page in PdfReader(BytesIO(bytes_of(issued))).pages)
    assert "Solid electric bouzouki" in text
    for word in ("hours", "labour", "markup", "margin", "contingency", "560.80", "701.00", "2,160"):
        assert word not in text.lower()
