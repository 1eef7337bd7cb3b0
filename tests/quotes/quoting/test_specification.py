"""A specification as rows: from the template into the quote, the paper, the build and changes."""

import io
from decimal import Decimal

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.base.refusals import Refusal
from inventory.models import Species
from quotes.changes.documents import confirmation_paper
from quotes.changes.queries import current_specification
from quotes.changes.services import offer_change, record_change_decision
from quotes.closing.documents import certificate_paper
from quotes.papers.documents.quote import quote_pdf
from quotes.papers.queries import spec_lines, specification_of
from quotes.quoting.queries.issue_check import missing_for_issue
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import copy_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.holds import choose_piece
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.specification import SpecAsked, edit_specification
from shop.models import BuildTemplate
from shop.patterns.calc import SpecRow
from shop.patterns.services.templates import copy_template, load_starters
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_quote
from tests.shop.factories import make_template_stage
from tests.shop.shelf_pieces import line_for, make_tops

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def template(tops):
    line = line_for(tops)
    make_template_stage(line.template, "Carve")
    pickup = line.template.options.create(name="Pickup")
    for position, (name, fields) in enumerate(
        [
            ("Nut width", {"value": "28.6", "unit": "mm"}),
            ("Neck profile", {"choices": "round; soft V"}),
            ("Top", {"line": line}),
            ("Pickup", {"value": "none"}),
            ("Pickup", {"value": "under the saddle", "option": pickup}),
        ],
        start=1,
    ):
        line.template.specs.create(position=position, name=name, **fields)
    return line.template


@pytest.fixture
def quote(template):
    osric = make_client(address="1 Mill Lane")
    return make_quote(commission=make_commission(osric), template=template, on=TODAY)


def says(quote):
    return {row.name: row.words for row in specification_of(quote)}


def build_says(quote):
    quote.build.refresh_from_db()
    return {
        row["name"]: f"{row['value']} {row['unit']}".strip()
        for row in quote.build.specification_rows
    }


def ordered(quote):
    sent = issue_quote(quote=quote, on=TODAY, now=NOW)
    return accept_quote(quote=sent, on=TODAY, now=NOW, by="Osric Pondweed").quote


def text_of(pdf):
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join("\n".join(page.extract_text() for page in pages).split())


def test_a_quote_starts_with_the_rows_of_its_template(quote, tops):
    assert says(quote) == {"Nut width": "28.6 mm", "Top": str(tops), "Pickup": "none"}
    assert [line.row.name for line in spec_lines(quote) if line.is_missing] == ["Neck profile"]


def test_an_option_that_is_on_has_its_own_row_in_the_place_of_its_namesake(quote):
    edit_quote(quote=quote, options=["Pickup"])
    quote.refresh_from_db()
    assert list(says(quote)) == ["Nut width", "Top", "Pickup"]
    assert says(quote)["Pickup"] == "under the saddle"


def test_the_piece_chosen_says_what_the_wood_is(quote, tops):
    tops.species = Species.objects.create(name="Red spruce")
    tops.save()
    lot = tops.lots.first()
    choose_piece(row=quote.materials.get(), lot=lot, on=TODAY, now=NOW)
    assert says(quote)["Top"] == f"Red spruce, {lot.number}"


def test_a_copy_of_a_quote_keeps_its_rows_and_their_materials(quote):
    copy = copy_quote(quote=quote, on=TODAY)
    assert [row.name for row in copy.specs.all()] == [row.name for row in quote.specs.all()]
    assert copy.specs.get(name="Top").material == copy.materials.get()


def test_a_copy_of_a_template_keeps_its_rows(template):
    copy = copy_template(template=template, name="Second")
    assert copy.specs.count() == 5
    assert copy.specs.get(name="Top").line == copy.lines.get()
    assert copy.specs.get(value="under the saddle").option.template == copy


def test_every_starter_asks_for_scale_nut_hand_and_strings(workshop):
    load_starters()
    for template in BuildTemplate.objects.filter(is_starter=True):
        names = set(template.specs.values_list("name", flat=True))
        assert {"Scale length", "Nut width", "Hand", "Strings", "Finish"} <= names


def test_what_is_asked_for_and_empty_is_named_before_the_quote_is_issued(quote):
    words = [one.words for one in missing_for_issue(quote, TODAY)]
    assert "Asked for and empty: Neck profile." in words
    assert not any("Nut width" in one for one in words)


def test_a_client_without_an_address_is_named_before_the_quote_is_issued(quote):
    quote.commission.client.address = ""
    words = [one.words for one in missing_for_issue(quote, TODAY)]
    assert "Osric Pondweed has no address." in words


def test_issue_shows_the_paper_and_what_is_missing_and_freezes_nothing(desk, quote):
    page = desk.get(reverse("quote_issue", args=[quote.pk])).content.decode()
    assert "Asked for and empty: Neck profile." in page
    assert "28.6 mm" in page
    quote.refresh_from_db()
    assert (quote.state, quote.number) == ("draft", "")


def test_two_rows_of_one_name_are_refused_and_an_empty_name_goes(quote):
    rows = [SpecAsked(name="Nut width", value="28.6"), SpecAsked(name="nut width ")]
    with pytest.raises(Refusal, match="there twice"):
        edit_specification(quote=quote, rows=rows)
    edit_specification(
        quote=quote, rows=[SpecAsked(name="Hand", value="left"), SpecAsked(name=" ")]
    )
    assert says(quote) == {"Hand": "left"}


def test_rows_are_edited_as_a_table_on_the_desk(desk, quote):
    address = reverse("quote_specification", args=[quote.pk])
    page = desk.get(address).content.decode()
    assert 'value="soft V"' in page
    sent = {
        "specs-TOTAL_FORMS": "2",
        "specs-INITIAL_FORMS": "1",
        "specs-0-name": "Nut width",
        "specs-0-value": "30",
        "specs-0-unit": "mm",
        "specs-0-is_asked": "on",
        "specs-1-name": "Hand",
        "specs-1-value": "left",
        "text": "As discussed.",
    }
    assert desk.post(address, sent).status_code == 302
    quote.refresh_from_db()
    assert says(quote) == {"Nut width": "30 mm", "Hand": "left"}
    assert quote.specification == "As discussed."


def test_the_api_reads_and_writes_the_rows(phone, quote):
    address = f"/api/v1/quotes/{quote.pk}/specification/"
    assert phone.get(address).json()["missing"] == ["Neck profile"]
    rows = [{"name": "Nut width", "value": "31", "unit": "mm", "is_asked": True}]
    answer = phone.post(address, {"rows": rows, "text": ""}, format="json").json()
    assert answer["says"] == [{"name": "Nut width", "words": "31 mm"}]


def test_the_rows_stand_on_the_quote_the_confirmation_and_the_build(quote):
    accepted = ordered(quote)
    assert "Nut width 28.6 mm" in text_of(quote_pdf(accepted, TODAY))
    assert build_says(accepted)["Nut width"] == "28.6 mm"
    paper = confirmation_paper(accepted, TODAY)
    assert ("Pickup", "none") in [(row.name, row.words) for row in paper.quote.specification_rows]


def agreed_change(quote, agreed=True, **fields):
    change = offer_change(quote=quote, title="Wider nut", on=TODAY, price=Decimal(45), **fields)
    return record_change_decision(change=change, agreed=agreed, now=NOW, by="Osric Pondweed")


WIDER = {"replaces": [SpecRow(name="Nut width", value="31", unit="mm")]}
PICKUP = {"replaces": [SpecRow(name="pickup", value="under the saddle")]}


def test_an_agreed_change_replaces_rows_of_what_is_built_and_keeps_what_was_ordered(quote):
    accepted = ordered(quote)
    agreed_change(accepted, **WIDER)
    agreed_change(accepted, **PICKUP)
    now = {row.name: row.words for row in current_specification(accepted).rows}
    assert (now["Nut width"], now["Pickup"]) == ("31 mm", "under the saddle")
    assert build_says(accepted) == now
    paper = confirmation_paper(accepted, TODAY)
    assert ("Pickup", "none") not in [(r.name, r.words) for r in paper.quote.specification_rows]
    assert paper.changes[0].words == "Nut width: 28.6 mm → 31 mm"
    assert "Nut width 28.6 mm" in text_of(quote_pdf(accepted, TODAY))
    certificate = certificate_paper(accepted.build).specification_rows
    assert ("Nut width", "31 mm") in [(row.name, row.words) for row in certificate]


def test_a_row_may_be_left_out_and_a_new_one_added(quote):
    accepted = ordered(quote)
    rows = [SpecRow(name="Pickup"), SpecRow(name="Strap button", value="ebony")]
    change = agreed_change(accepted, replaces=rows)
    assert "Pickup" not in build_says(accepted)
    assert build_says(accepted)["Strap button"] == "ebony"
    assert change.rows[0]["before"] == "none"


def test_a_named_line_of_free_words_is_replaced_too(quote):
    edit_quote(quote=quote, specification="Inlay: plain dots\nAs discussed in May.")
    quote.refresh_from_db()
    accepted = ordered(quote)
    agreed_change(accepted, replaces=[SpecRow(name="Inlay", value="a moth")])
    accepted.build.refresh_from_db()
    assert accepted.build.specification == "As discussed in May."
    assert build_says(accepted)["Inlay"] == "a moth"


def test_a_declined_change_leaves_the_build_as_it_was_and_says_so(desk, quote):
    accepted = ordered(quote)
    agreed_change(accepted, agreed=False, **WIDER)
    assert build_says(accepted)["Nut width"] == "28.6 mm"
    page = desk.get(reverse("build_changes", args=[accepted.build_id])).content.decode()
    assert "Not made:" in page
    assert "31 mm" not in page


def test_a_change_that_changes_nothing_is_refused(quote):
    accepted = ordered(quote)
    with pytest.raises(Refusal, match="says that already"):
        agreed_change(accepted, replaces=[SpecRow(name="Nut width", value="28.6", unit="mm")])


def test_side_by_side_marks_what_was_replaced_on_one_side_only(desk, quote):
    accepted = ordered(quote)
    agreed_change(accepted, **PICKUP)
    address = reverse("quote_compare", args=[accepted.pk, accepted.pk])
    words = {line.text: line.mark for line in desk.get(address).context["sides"].words}
    assert words["Pickup: none"] == "before"
    assert words["Pickup: under the saddle"] == "after"
    assert words["Nut width: 28.6 mm"] == "both"


def test_a_change_is_offered_row_by_row_on_the_desk(desk, quote):
    accepted = ordered(quote)
    address = reverse("change_new", args=[accepted.pk])
    page = desk.get(address).content.decode()
    assert "Now 28.6 mm." in page
    asked = {"title": "Wider nut", "row_0": "31 mm", "price": "45", "is_billed": "on"}
    assert desk.post(address, asked).status_code == 302
    kept = accepted.changes.get().rows
    assert kept == [{"name": "Nut width", "value": "31", "unit": "mm", "before": "28.6 mm"}]


def test_a_change_is_offered_row_by_row_over_the_api(phone, quote):
    accepted = ordered(quote)
    asked = {
        "quote": accepted.pk,
        "title": "Wider nut",
        "price": "45",
        "replaces": [{"name": "Nut width", "value": "31", "unit": "mm"}],
    }
    made = phone.post("/api/v1/changes/", asked, format="json")
    assert made.status_code == 201, made.content
    assert made.json()["replaces"][0]["before"] == "28.6 mm"


def test_a_quote_sent_before_there_were_rows_reads_as_it_did(quote):
    edit_quote(quote=quote, specification="Nut: 29 mm")
    quote.refresh_from_db()
    quote.specs.all().delete()
    accepted = ordered(quote)
    del accepted.frozen["paper"]["rows"]
    accepted.save(update_fields=["frozen"])
    paper = confirmation_paper(accepted, TODAY)
    assert [(row.name, row.words) for row in paper.quote.described] == [("Nut", "29 mm")]
