"""The desk pages of quotes: what they show, what they do, how often they ask the database."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from quotes.changes.services import offer_change, record_change_decision
from quotes.models import Client, Quote
from quotes.pricing.queries.taxing import taxed_change
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def template(workshop):
    make_policy(shipping=Decimal(60))
    template = make_template("Little mandolin")
    scroll = template.options.create(name="Scroll")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_stage(template, "Carve scroll", hours=("1", "2", "3"), option=scroll)
    make_template_line(template, "top", cost_likely=Decimal("40"))
    return template


@pytest.fixture
def draft(template):
    return make_quote(template=template, on=TODAY)


@pytest.fixture
def issued(draft):
    return issue_quote(quote=draft, on=TODAY, now=NOW)


@pytest.fixture(autouse=True)
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


def text_of(page):
    return page.content.decode()


def test_a_draft_shows_every_step_of_its_price(desk, draft):
    text = text_of(desk.get(f"/quotes/{draft.pk}/"))
    for figure in ("180.00", "40.00", "10.00", "18.00", "250.00", "310.00", "372.00"):
        assert figure in text
    assert "25 % markup, a margin of 20 %, on 40" in text


def test_hours_are_changed_where_they_stand(desk, draft):
    stage = draft.stages.get(name="Carve")
    page = desk.post(
        f"/quotes/{draft.pk}/rows/", {f"hours-{stage.pk}": "6,5"}, headers={"HX-Request": "true"}
    )
    assert "292.50" in text_of(page)
    stage.refresh_from_db()
    assert (stage.hours, stage.basis) == (Decimal("6.5"), "set by hand")


def test_a_word_for_a_number_is_answered_with_a_sentence(desk, draft):
    stage = draft.stages.get(name="Carve")
    page = desk.post(f"/quotes/{draft.pk}/rows/", {f"hours-{stage.pk}": "six"})
    assert page.status_code == 409
    assert "Carve: “six” is not valid" in text_of(page).replace("&#x27;", "’")


def test_an_option_is_switched(desk, draft):
    desk.post(f"/quotes/{draft.pk}/options/", {"options": ["Scroll"]})
    assert Quote.objects.get().options == ["Scroll"]
    assert "270.00" in text_of(desk.get(f"/quotes/{draft.pk}/"))


def test_from_new_client_to_issued_quote(desk, template):
    asked = {"new_client": "Osric Pondweed", "template": template.pk, "title": ""}
    page = desk.post("/quotes/new/", asked, follow=True)
    quote = Quote.objects.get()
    assert (quote.title, quote.commission.client.name) == ("Little mandolin", "Osric Pondweed")
    assert "Asked for and empty" not in text_of(desk.get(f"/quotes/{quote.pk}/issue/"))
    page = desk.post(f"/quotes/{quote.pk}/issue/", follow=True)
    assert "Q-2027-001 is issued" in text_of(page)
    paper = desk.get(f"/quotes/{quote.pk}/paper/")
    assert paper.content.startswith(b"%PDF-")


def test_the_last_quote_of_a_pattern_is_the_start_of_the_next(desk, draft):
    stage = draft.stages.get(name="Carve")
    desk.post(f"/quotes/{draft.pk}/rows/", {f"hours-{stage.pk}": "7"})
    asked = {"new_client": "Lune Farthing-Quill", "template": draft.template_id, "from_last": "on"}
    desk.post("/quotes/new/", asked)
    new = Quote.objects.exclude(pk=draft.pk).get()
    assert new.stages.get(name="Carve").hours == 7
    assert new.commission.client.name == "Lune Farthing-Quill"


def test_a_draft_can_be_read_as_paper_before_it_is_sent(desk, draft):
    assert desk.get(f"/quotes/{draft.pk}/paper/").content.startswith(b"%PDF-")
    assert Quote.objects.get().number == ""


def test_accepting_enters_the_build(desk, issued):
    page = desk.post(f"/quotes/{issued.pk}/accept/", {"by": "Osric Pondweed"}, follow=True)
    assert "is planned" in text_of(page)
    assert Quote.objects.get().build.stages.count() == 1


def test_what_was_sent_is_not_changed_by_a_form(desk, issued):
    stage = issued.stages.first()
    page = desk.post(f"/quotes/{issued.pk}/rows/", {f"hours-{stage.pk}": "1"})
    assert page.status_code == 409
    assert "a sent quote stays as it is" in text_of(page)


def test_versions_stand_side_by_side(desk, issued):
    second = revise_quote(quote=issued, on=TODAY)
    second.stages.filter(name="Carve").update(hours=5)
    text = text_of(desk.get(f"/quotes/{issued.pk}/beside/{second.pk}/"))
    assert "180.00" in text
    assert "225.00" in text
    assert "45.00" in text


def test_what_was_agreed_since_stands_beside_what_was_ordered(desk, issued):
    edit_quote(quote=revise_quote(quote=issued, on=TODAY), specification="Nut 30 mm.")
    second = issue_quote(quote=Quote.objects.get(version=2), on=TODAY, now=NOW)
    ordered = accept_quote(quote=second, on=TODAY, now=NOW).quote
    asked = {"title": "Wider nut", "words": "Nut 31 mm.", "price": Decimal(50), "days_added": 4}
    record_change_decision(
        change=offer_change(quote=ordered, on=TODAY, **asked), agreed=True, now=NOW
    )
    own = desk.get(f"/quotes/{ordered.pk}/").content.decode()
    assert f"/quotes/{ordered.pk}/beside/{ordered.pk}/" in own
    gross = taxed_change(ordered.changes.get()).due
    for before, label in ((ordered, "With change orders only"), (issued, "Version 2 only")):
        text = text_of(desk.get(f"/quotes/{before.pk}/beside/{ordered.pk}/"))
        for words in (label, "Nut 31 mm.", f"{gross:,.2f}", f"{ordered.gross + gross:,.2f}"):
            assert words in text


@pytest.mark.parametrize(
    "name",
    ["quotes", "quote_new", "clients", "client_new", "pricing_policy", "books"],
)
def test_pages_without_a_number_open(desk, draft, name):
    assert desk.get(reverse(name)).status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "quotes/{0}/", "quotes/{0}/terms/", "quotes/{0}/copy/", "quotes/{0}/hold/",
        "quotes/{0}/decline/", "quotes/{0}/accept/", "quotes/{0}/add/stage/",
        "quotes/{0}/add/material/", "quotes/{0}/add/extra/", "quotes/{0}/material/{1}/",
    ],
)  # fmt: skip
def test_pages_of_a_draft_open(desk, draft, path):
    row = draft.materials.get()
    assert desk.get("/" + path.format(draft.pk, row.pk)).status_code == 200


def test_a_line_of_the_maker_s_own_is_added_with_its_kind(desk, draft):
    fields = {"kind": "outside", "name": "Plating", "cost": "40", "markup": "10"}
    assert desk.post(f"/quotes/{draft.pk}/add/extra/", fields).status_code == 302
    line = draft.extras.get()
    assert (line.kind, line.cost, line.markup) == ("outside", 40, Decimal("0.1"))


def test_a_stage_is_changed_in_all_its_particulars(desk, draft):
    stage = draft.stages.first()
    page = f"/quotes/{draft.pk}/stage/{stage.pk}/"
    assert page in desk.get(f"/quotes/{draft.pk}/").text
    assert f'value="{stage.name}"' in desk.get(page).text
    fields = {
        "name": "Carve twice",
        "hours": "5",
        "hours_low": "4",
        "hours_high": "",
        "waiting_days": "2",
    }
    assert desk.post(page, fields).status_code == 302
    stage.refresh_from_db()
    assert (stage.name, stage.hours, stage.hours_low, stage.waiting_days) == (
        "Carve twice",
        5,
        4,
        2,
    )
    assert stage.basis == "set by hand"


def test_what_is_bought_counts_at_cost_in_the_hourly_and_a_dealer_s_discount_off(desk, draft):
    edit_quote(quote=draft, price_step=Decimal(0), dealer_discount=Decimal("0.25"))
    add_row(quote=draft, of="extra", kind="outside", name="Plating", cost=Decimal(40),
            markup=Decimal("0.5"))  # fmt: skip
    add_row(quote=draft, of="extra", kind="packing", name="Case", cost=Decimal(90))
    page = desk.get(f"/quotes/{draft.pk}/").context["page"]
    sheet = page.offer.sheet
    assert sheet.amount("outside") == 60
    assert sheet.bought == sheet.amount("materials-cost") + 40 + 90
    assert page.hourly == (sheet.price - sheet.bought) / sheet.hours
    assert page.dealer_hourly == (sheet.price * Decimal("0.75") - sheet.bought) / sheet.hours


def test_a_looker_on_may_look_but_not_write(client, looker_on, draft):
    client.force_login(looker_on)
    assert client.get(f"/quotes/{draft.pk}/").status_code == 200
    assert client.post(f"/quotes/{draft.pk}/issue/").status_code == 403


@pytest.mark.parametrize("count", [1, 25])
def test_the_list_asks_a_fixed_number_of_questions(
    desk, template, count, django_assert_num_queries
):
    for number in range(count):
        quote = make_quote(make_commission(Client.objects.create(name=f"{number}")), template)
        if number == 1:
            issue_quote(quote=quote, on=TODAY, now=NOW)
    desk.get("/quotes/")
    with django_assert_num_queries(12):
        desk.get("/quotes/?show=all")


@pytest.mark.parametrize("count", [1, 25])
def test_a_quotes_page_asks_a_fixed_number_of_questions(
    desk, template, count, django_assert_num_queries
):
    for number in range(count):
        make_template_line(template, f"line {number}", cost_likely=Decimal(3))
    quote = make_quote(template=template)
    with django_assert_num_queries(15):
        desk.get(f"/quotes/{quote.pk}/")


def test_a_line_at_a_tax_rate_of_its_own_is_added(desk, draft):
    address = f"/quotes/{draft.pk}/add/extra/"
    case = {"kind": "own", "name": "Hard case", "cost": "180", "tax_kind": "S"}
    refused = desk.post(address, case)
    assert refused.status_code == 409
    assert "Hard case: give its own tax rate." in refused.content.decode()
    assert desk.post(address, case | {"tax_rate": "9"}).status_code == 302
    page = desk.get(f"/quotes/{draft.pk}/").content.decode()
    assert "sold beside the instrument, taxed at 9 %" in page
    assert page.count("Sold beside the instrument") == 1


def test_a_gross_price_that_can_not_be_is_kept_as_typed_beside_the_nearest(desk, draft):
    asked = {"amount": "3600.03", "is_gross": "yes"}
    page = desk.post(f"/quotes/{draft.pk}/price/", asked)
    text = page.content.decode()
    assert page.status_code == 409
    assert "Use 3600.02 or 3600.04" in text
    assert 'value="3600.03"' in text
    assert '<option value="yes" selected>' in text
    asked["amount"] = "3600.02"
    text = desk.post(f"/quotes/{draft.pk}/price/", asked, follow=True).content.decode()
    assert "3,672.02" in text


def test_a_price_set_by_hand_says_how_to_go_back_and_what_became_of_the_step(desk, draft):
    page = desk.post(f"/quotes/{draft.pk}/price/", {"amount": "293"}, follow=True)
    assert "delete it to go back. It is no longer rounded up to the next 10." in text_of(page)
    page = desk.post(f"/quotes/{draft.pk}/price/", {"amount": "294"}, follow=True)
    assert "no longer rounded" not in text_of(page)


def test_every_part_of_the_policy_that_counts_is_named(desk, draft):
    address = f"/quotes/{draft.pk}/"
    without = text_of(desk.get(address))
    assert "Rush" not in without
    edit_quote(quote=draft, rush=Decimal("0.15"), fee_percent=Decimal("0.03"),
                 fee_fixed=Decimal("0.30"), dealer_discount=Decimal("0.25"))  # fmt: skip
    text = text_of(desk.get(address))
    for words in ("15 % of the price before it", "25 % off the list price", "3 % of what is paid"):
        assert words in text


def test_a_hold_is_let_go_on_the_page(desk, draft):
    address = f"/quotes/{draft.pk}/"
    assert "Release</button>" not in text_of(desk.get(address))
    desk.post(f"{address}hold/", {"until": TODAY.isoformat()})
    assert "Release</button>" in text_of(desk.get(address))
    page = desk.post(f"{address}release/", follow=True)
    assert "The stock is available again" in text_of(page)
    assert "Release</button>" not in text_of(page)
    assert "No stock is reserved for" in text_of(desk.post(f"{address}release/"))


@pytest.mark.parametrize(
    ("kind", "heading"),
    [("stage", "Add a stage"), ("material", "Add a material"), ("extra", "Add a line"),
     ("failure", "Add a risk")],
)  # fmt: skip
def test_a_row_s_page_says_what_it_is(desk, draft, kind, heading):
    assert f"<h1>{heading}</h1>" in text_of(desk.get(f"/quotes/{draft.pk}/add/{kind}/"))
    stage = draft.stages.get(name="Carve")
    assert "<h1>Carve</h1>" in text_of(desk.get(f"/quotes/{draft.pk}/stage/{stage.pk}/"))


def test_a_row_that_was_taken_out_is_put_back_by_one_tap(desk, draft):
    stage = draft.stages.get(name="Carve")
    page = desk.post(f"/quotes/{draft.pk}/stage/{stage.pk}/remove/", follow=True)
    text = text_of(page)
    assert "Carve is deleted." in text
    undo = re.search(rf"/quotes/{draft.pk}/put-back/[^/]+/", text)[0]
    assert desk.post(undo).status_code == 302
    assert draft.stages.get(name="Carve").hours == stage.hours
    assert "is back already" in text_of(desk.post(undo))


def test_a_draft_that_came_to_nothing_is_laid_aside_and_can_be_copied(desk, draft):
    address = f"/quotes/{draft.pk}/"
    page = desk.get(f"{address}decline/")
    assert "Close without sending" in text_of(page)
    desk.post(f"{address}hold/", {"until": TODAY.isoformat()})
    assert desk.post(f"{address}decline/", {"reason": "only asked"}).status_code == 302
    draft.refresh_from_db()
    assert (draft.state, draft.held_until) == (Quote.State.DECLINED, None)
    text = text_of(desk.get(address))
    assert "only asked" in text
    assert "Revise" not in text
    assert "as sent" not in text
    assert "was never sent. Copy it" in text_of(desk.post(f"{address}revise/"))
    assert str(draft.pk) not in [f"{row.quote.pk}" for row in desk.get("/quotes/").context["rows"]]


def test_a_comma_may_stand_before_the_decimals(desk, draft):
    page = f"/quotes/{draft.pk}/add/stage/"
    assert desk.post(page, {"name": "Refret", "hours": "6,5"}).status_code == 302
    assert draft.stages.get(name="Refret").hours == Decimal("6.5")
    page = f"/quotes/{draft.pk}/add/extra/"
    asked = {"kind": "own", "name": "Case", "cost": "1.252,80", "tax_kind": ""}
    assert desk.post(page, asked).status_code == 302
    assert draft.extras.get(name="Case").cost == Decimal("1252.80")
    refused = desk.post(page, asked | {"cost": "1,250"})
    assert "can mean 1250 or 1.250. Write the one you mean." in text_of(refused)
    assert 'value="1,250"' in text_of(refused)


def test_the_price_and_the_parts_of_the_page_stay_in_sight_and_a_change_says_that_it_is_saved(
    desk, draft
):
    bar = text_of(desk.get(f"/quotes/{draft.pk}/")).split('class="bar"')[1].split("</nav>")[0]
    assert [f'href="#{part}"' in bar for part in ("hours", "parts", "options", "chance")] == [
        True
    ] * 4
    assert "Price, net" in bar
    assert "Saved" not in bar
    stage = draft.stages.first()
    changed = desk.post(
        f"/quotes/{draft.pk}/rows/", {f"hours-{stage.pk}": "6"}, headers={"HX-Request": "true"}
    )
    assert "Saved" in text_of(changed)
