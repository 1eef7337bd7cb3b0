"""Two instruments in one order: a pair of bouzoukis for a dealer, one price, two builds.

Walnut, by hand: 48 h × 45.00 = 2,160.00; materials 560.80 and 25 % markup 701.00; contingency 10 %
of labour 216.00; sum 3,077.00, up to the next 10: 3,080.00.

Maple, made beside it, saves a fifth of its hours: 38.4 h × 45.00 = 1,728.00; the same materials
701.00; contingency 172.80; sum 2,601.80, up to the next 10: 2,610.00.

Shipping once 60.00. Net 3,080.00 + 2,610.00 + 60.00 = 5,750.00; tax 20 % once on the sum 1,150.00;
gross 6,900.00. Parts 30/30/40: 2,070.00, 2,070.00, 2,760.00.
"""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.cancelling.queries import cancel_page
from quotes.changes.documents import change_paper, confirmation_paper
from quotes.changes.services import offer_change, record_change_decision
from quotes.closing.queries.close_out import close_out_sheet
from quotes.closing.queries.materials import lines_without_cost
from quotes.closing.services import close_out, record_expense
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Commission, Quote
from quotes.papers.documents.printing import paper_html
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from shop.builds.services.end import finish_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_secret
from tests.quotes.factories import make_client, make_plain_electric_bouzouki, make_policy

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(workshop, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    make_policy()


@pytest.fixture
def template():
    return make_plain_electric_bouzouki()


@pytest.fixture
def drafted(template, phone):
    """The pair as drafted through the API: the first from a template, the second as the first."""
    client = make_client("Hobb Fenwillow", kind="dealer")
    asked = {"client": client.pk, "template": template.pk, "title": "Bouzouki in walnut"}
    first = phone.post("/api/v1/quotes/", asked).json()["id"]
    address = f"/api/v1/quotes/{first}/"
    etag = phone.get(address).headers["ETag"]
    answer = phone.patch(address, {"shipping": "60.00"}, headers={"If-Match": etag})
    assert answer.status_code == 200, answer.json()
    asked = {"is_same": True, "title": "Bouzouki in maple", "batch_saving": "0.2"}
    answer = phone.post(f"{address}instruments/", asked)
    assert answer.status_code == 201, answer.json()
    assert answer.json()["part_of"] == first
    return Quote.objects.get(pk=first)


@pytest.fixture
def accepted(drafted, phone):
    address = f"/api/v1/quotes/{drafted.pk}/"
    assert phone.post(f"{address}issue/").status_code == 200
    answer = phone.post(f"{address}accept/")
    assert answer.status_code == 200, answer.json()
    assert [one["serial"] for one in answer.json()["further"]] == [
        build.serial for build in Build.objects.order_by("pk")[1:]
    ]
    return Quote.objects.get(pk=drafted.pk)


def maple_of(quote):
    return quote.further.get()


def test_one_price_one_tax_one_plan_to_the_cent(drafted, phone):
    told = phone.get(f"/api/v1/quotes/{drafted.pk}/price/").json()
    steps = {step["name"]: step for step in told["steps"]}
    (maple,) = steps["Further instruments"]["parts"]
    labour = next(part for part in maple["parts"] if part["name"] == "Labour")
    assert (told["price"], labour["amount"], maple["amount"]) == (
        "3080.000",
        "1728.000",
        "2610.000",
    )
    assert (told["net"], told["tax"], told["gross"]) == ("5750.000", "1150.000", "6900.000")
    assert [part["amount"] for part in told["parts"]] == ["2070.000", "2070.000", "2760.000"]


def test_the_saving_counts_once_however_often_it_is_read(drafted, phone):
    maple = maple_of(drafted)
    for _ in range(2):
        assert phone.get(f"/api/v1/quotes/{maple.pk}/price/").json()["price"] == "2610.000"
    hours = [
        Decimal(stage["hours"])
        for stage in phone.get(f"/api/v1/quotes/{maple.pk}/").json()["stages"]
    ]
    walnut = sum(stage.hours for stage in drafted.stages.all())
    assert sum(hours) == walnut  # the rows stay as they were typed


def test_what_the_order_has_in_common_is_edited_at_its_first_instrument(drafted):
    edit_quote(quote=drafted, shop_rate=Decimal(50), parts="50 50")
    maple = maple_of(drafted)
    assert (maple.shop_rate, maple.parts) == (Decimal(50), "50 50")
    with pytest.raises(Refusal, match="whole order"):
        edit_quote(quote=maple, shop_rate=Decimal(40))


def test_the_paper_names_both_instruments_and_one_sum(drafted):
    issued = issue_quote(quote=drafted, on=TODAY, now=NOW)
    lines = [(line["words"], line["amount"]) for line in issued.frozen["paper"]["totals"]["lines"]]
    assert lines == [
        ("Bouzouki in walnut", "3080.000"),
        ("Bouzouki in maple", "2610.000"),
        ("Shipping", "60.00"),
    ]
    maple = maple_of(issued)
    assert (maple.number, maple.state) == (issued.number, Quote.State.ISSUED)
    # One after the other: the second can't be ready before the first.
    assert maple.frozen["offer"]["ready_on"] > issued.frozen["offer"]["ready_on"]


def test_a_revision_replaces_the_whole_order(drafted):
    issued = issue_quote(quote=drafted, on=TODAY, now=NOW)
    old = maple_of(issued)
    draft = revise_quote(quote=issued, on=TODAY)
    assert maple_of(draft).batch_saving == Decimal("0.2")
    newer = issue_quote(quote=draft, on=TODAY, now=NOW)
    old.refresh_from_db()
    assert (newer.version, maple_of(newer).version) == (2, 2)
    assert old.state == Quote.State.REPLACED
    assert maple_of(newer).state == Quote.State.ISSUED


def test_each_instrument_becomes_a_build_with_its_own_hours_and_day(accepted, desk):
    walnut, maple = Build.objects.order_by("pk")
    assert (accepted.build, maple_of(accepted).build) == (walnut, maple)
    for build, hours in ((walnut, 48), (maple, Decimal("38.4"))):
        assert sum(stage.hours_planned for stage in build.stages.all()) == hours
    assert walnut.promised_on < maple.promised_on
    for address in ("/builds/", "/queue/", f"/quotes/{accepted.pk}/"):
        page = desk.get(address).content.decode()
        assert walnut.serial in page, address
        assert maple.serial in page, address


def test_the_confirmation_and_the_clients_page_tell_both(drafted, client):
    issued = issue_quote(quote=drafted, on=TODAY, now=NOW)
    secret = make_secret(issued)
    page = client.get(f"/offer/{secret}/").content.decode()
    for words in ("Bouzouki in walnut", "Bouzouki in maple", "6,900.00", "I order these"):
        assert words in page
    asked = {"name": "Hobb Fenwillow", "dated": TODAY.isoformat()}
    assert client.post(f"/offer/{secret}/accept/", asked).status_code == 302
    issued.refresh_from_db()
    serials = [build.serial for build in Build.objects.order_by("pk")]
    assert len(serials) == 2
    paper = paper_html(
        "quotes/papers/confirmation.html", confirmation_paper(issued, TODAY), made_on=f"{TODAY}"
    )
    after = client.get(f"/offer/{secret}/").content.decode()
    for serial in serials:
        assert serial in paper
        assert serial in after
    assert "6,900.00" in paper


def test_a_change_to_the_second_adds_to_the_one_order(accepted, phone):
    maple = maple_of(accepted)
    change = offer_change(
        quote=maple, title="Inlay", words="Inlay at fret 12", price=Decimal(120), on=TODAY
    )
    # 6,900.00 and 120.00 with 20 % tax: 6,900.00 + 144.00 = 7,044.00.
    assert change_paper(change).gross_after == Decimal("7044.00")
    change = record_change_decision(change=change, agreed=True, now=NOW, by="Hobb")
    confirmed = confirmation_paper(accepted, TODAY)
    assert confirmed.gross == sum(part.amount for part in confirmed.plan) == Decimal("7044.00")
    assert issue_invoice(quote=maple, change=change, on=TODAY).gross == Decimal("144.00")


def test_the_order_is_invoiced_as_one(accepted):
    with pytest.raises(Refusal, match="whole order"):
        issue_invoice(quote=maple_of(accepted), part=0, on=TODAY)
    invoices = [issue_invoice(quote=accepted, part=part, on=TODAY) for part in range(3)]
    assert [one.gross for one in invoices] == [
        Decimal("2070.00"),
        Decimal("2070.00"),
        Decimal("2760.00"),
    ]
    assert sum(one.tax for one in invoices) == Decimal("1150.00")


def pay_all_invoices(accepted):
    for part in range(3):
        invoice = issue_invoice(quote=accepted, part=part, on=TODAY)
        record_payment(
            client=accepted.commission.client,
            commission=accepted.commission,
            amount=invoice.gross,
            received_on=TODAY,
            now=NOW,
            invoice=invoice,
        )


def test_each_close_out_has_its_share_and_the_shares_are_the_order(accepted, posy):
    """Shares by net price, shipping with the first: 3,140.00 and 2,610.00 of 5,750.00.

    Deposit 2,070.00: 1,130.40 and 939.60 (each 30 % of 1.2 times its net); so for every part. In
    all 3,768.00 and 3,132.00 came in, of it tax 628.00 and 522.00: 3,140.00 and 2,610.00 are kept.
    """
    pay_all_invoices(accepted)
    builds = [accepted.build, maple_of(accepted).build]
    for build in builds:
        work = [Work(build=build, stage=build.stages.first())]
        log_hours(person=posy, day=TODAY, minutes=300, now=NOW, work=work)
    sheets = [close_out_sheet(build, TODAY) for build in builds]
    assert [sorted(row.home for row in sheet.money.receipts) for sheet in sheets] == [
        [Decimal("1130.40"), Decimal("1130.40"), Decimal("1507.20")],
        [Decimal("939.60"), Decimal("939.60"), Decimal("1252.80")],
    ]
    assert [sheet.money.tax for sheet in sheets] == [Decimal(628), Decimal(522)]
    assert [sheet.money.received for sheet in sheets] == [Decimal(3140), Decimal(2610)]
    for build in builds:
        assert accepted.commission.state == Commission.State.ACCEPTED
        close_out(build=finish_build(build=build, now=NOW), on=TODAY, now=NOW)
        accepted.commission.refresh_from_db()
    assert accepted.commission.state == Commission.State.DELIVERED


def test_the_order_is_closed_out_as_one(accepted, posy, desk, phone):
    """Three invoices paid: 5,750.00 net, 3,140.00 for walnut with its shipping, 2,610.00 for maple.

    Each took 5 h and its materials as planned, 560.80. Walnut: 3,140.00 - 60.00 shipping - 560.80
    leaves 2,519.20, 503.84 an hour. Maple: 2,610.00 - 560.80 leaves 2,049.20, 409.84 an hour.
    Together 4,568.40 over 10 h: 456.84. Quoted were 3,080.00 + 2,610.00 = 5,690.00 and 86.4 h.
    """
    pay_all_invoices(accepted)
    maple = maple_of(accepted)
    address = f"/quotes/{maple.pk}/close-out/"
    for build in (accepted.build, maple.build):
        work = [Work(build=build, stage=build.stages.first())]
        log_hours(person=posy, day=TODAY, minutes=300, now=NOW, work=work)
    walnut, second = accepted.build.serial, maple.build.serial
    told = phone.get(f"/api/v1{address}").json()
    assert told["why_not"] == [f"{walnut} is not finished.", f"{second} is not finished."]
    assert told["total"]["earnings"] is None
    for build in (accepted.build, maple.build):
        finish_build(build=build, now=NOW)
    told = phone.get(f"/api/v1{address}").json()
    without = [f"{serial} has 27 lines without a cost." for serial in (walnut, second)]
    assert told["why_not"] == without
    for build, unknown in ((accepted.build, without[1:]), (maple.build, [])):
        for line in lines_without_cost(build):
            price = {"amount": line.planned_cost, "paid_on": TODAY}
            record_expense(build=build, kind="material", line=line, **price)
        close_out(build=build, on=TODAY, now=NOW)
        told = phone.get(f"/api/v1{address}").json()
        assert told["why_not"] == unknown
        # One instrument that earned well says nothing of the order.
        assert (told["total"]["earnings"] is None) == bool(unknown)
    told = phone.get(f"/api/v1{address}").json()
    rows = [(row["left"], row["earnings"]["effective_hourly"]) for row in told["rows"]]
    assert rows == [("2519.200", "503.840"), ("2049.200", "409.840")]
    total = told["total"]
    assert (total["price"], total["received"], total["left"]) == (
        "5690.000",
        "5750.000",
        "4568.400",
    )
    assert (total["hours_quoted"], total["hours"]) == ("86.40", "10.00")
    assert total["earnings"]["effective_hourly"] == "456.840"
    page = desk.get(address).content.decode()
    for figure in ("456.84", "503.84", "409.84", "4,568.40"):
        assert figure in page
    own = desk.get(f"/builds/{maple.build.pk}/close-out/").content.decode()
    assert f'href="/quotes/{accepted.pk}/close-out/"' in own


def test_an_order_that_is_not_built_has_nothing_to_add_up(drafted, desk, phone):
    answer = phone.get(f"/api/v1/quotes/{drafted.pk}/close-out/")
    assert answer.status_code == 409
    page = desk.get(f"/quotes/{drafted.pk}/close-out/", follow=True).content.decode()
    assert "is not being built yet" in page


def test_cancelling_ends_every_build_of_the_order(accepted, posy, desk):
    build = maple_of(accepted).build
    work = [Work(build=build, stage=build.stages.first())]
    log_hours(person=posy, day=TODAY, minutes=120, now=NOW, work=work)
    assert cancel_page(accepted.commission, TODAY).hours == 2
    desk.post(f"/commissions/{accepted.commission_id}/cancel/", {"why": "The dealer closed."})
    assert {build.state for build in Build.objects.all()} == {"cancelled"}
    assert {quote.state for quote in Quote.objects.all()} == {Quote.State.CANCELLED}


def test_the_page_adds_moves_takes_out_and_puts_back(drafted, desk, template):
    address = f"/quotes/{drafted.pk}/"
    asked = {"begins": "template", "template": template.pk, "title": "Bouzouki in cherry"}
    added = desk.post(f"{address}instruments/new/", asked)
    assert added.status_code == 302
    cherry = Quote.objects.get(title="Bouzouki in cherry")
    desk.post(f"{address}instruments/{cherry.pk}/up/")
    titles = [one.title for one in Quote.objects.get(pk=drafted.pk).instruments]
    assert titles == ["Bouzouki in walnut", "Bouzouki in cherry", "Bouzouki in maple"]
    page = desk.post(f"{address}instruments/{cherry.pk}/leave/", follow=True).content.decode()
    # 3,080.00 for a third one is gone again: 6,900.00 is left.
    assert "6,900.00" in page
    assert f"{address}instruments/{cherry.pk}/join/" in page
    cherry.refresh_from_db()
    assert cherry.part_of is None
    assert cherry.stages.count() == drafted.stages.count()
    page = desk.post(f"{address}instruments/{cherry.pk}/join/", follow=True).content.decode()
    # 5,750.00 + 3,080.00 = 8,830.00; with 20 % tax 10,596.00.
    assert "10,596.00" in page


def test_only_the_order_is_listed_and_the_second_leads_back_to_it(drafted, desk, phone):
    assert [row["id"] for row in phone.get("/api/v1/quotes/").json()["results"]] == [drafted.pk]
    assert "Bouzouki in maple" not in desk.get("/quotes/").content.decode()
    page = desk.get(f"/quotes/{maple_of(drafted).pk}/").content.decode()
    assert f'href="/quotes/{drafted.pk}/"' in page
    assert "Issue" not in page
    with pytest.raises(Refusal, match="whole order"):
        issue_quote(quote=maple_of(drafted), on=TODAY, now=NOW)


def test_a_second_neck_and_a_case_are_extra_lines_of_one_instrument(template, phone):
    """3,077.00 and a second neck of 420.00: 3,497.00, up to the next 10: 3,500.00.

    The case stands beside it with its own price of 180.00: net 3,680.00, tax 736.00, gross
    4,416.00, and there is one build.
    """
    client = make_client("Osric Pondweed")
    made = phone.post("/api/v1/quotes/", {"client": client.pk, "template": template.pk}).json()
    address = f"/api/v1/quotes/{made['id']}/"
    neck = {"kind": "own", "name": "Second neck", "cost": "420.00"}
    case = {"kind": "own", "name": "Case", "cost": "180.00", "tax_kind": "S", "tax_rate": "0.2"}
    for fields in (neck, case):
        answer = phone.post(f"{address}rows/add/", {"kind": "extra", "fields": fields})
        assert answer.status_code == 201, answer.json()
    told = phone.get(f"{address}price/").json()
    assert (told["price"], told["net"], told["tax"], told["gross"]) == (
        "3500.000",
        "3680.000",
        "736.000",
        "4416.000",
    )
    phone.post(f"{address}issue/")
    assert phone.post(f"{address}accept/").json()["further"] == []
    assert Build.objects.count() == 1
