"""One search finds every kind of row by number, name, word and note, also misspelt."""

import pytest
from django.urls import reverse

from inventory.models import Material, Supplier
from quotes.models import Client
from quotes.search.bookkeeping import triggers
from quotes.search.queries.finding import find, find_of_kind
from quotes.search.queries.kinds import CLIENT, KINDS, QUOTE
from quotes.search.services import (
    stop_watching_for_search,
    update_search,
    watch_for_search,
)
from tests.factories import make_material, make_supplier
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template

pytestmark = pytest.mark.django_db


def titles(typed):
    """Return what is found, by kind, after the index was brought up to date."""
    update_search()
    return {group.name: [hit.title for hit in group.hits] for group in find(typed).groups}


@pytest.fixture
def osrics_quote(workshop):
    make_policy()
    commission = make_commission(make_client("Osric Pondweed"), title="Cittern for the barge")
    return make_quote(commission, make_template("Cittern"))


def test_a_client_s_name_finds_what_belongs_to_the_client(osrics_quote):
    assert titles("osric") == {
        "Clients": ["Osric Pondweed"],
        "Commissions": ["Cittern for the barge"],
        "Quotes": [osrics_quote.title],
    }


def test_every_word_has_to_be_found_in_any_order(osrics_quote):
    assert "Commissions" in titles("barge osr")
    assert titles("barge lune") == {}


def test_a_renamed_client_is_found_by_the_new_name_at_every_row(osrics_quote):
    assert titles("osric")
    Client.objects.update(name="Lune Farthing-Quill")
    assert titles("osric") == {}
    assert set(titles("farthing")) == {"Clients", "Commissions", "Quotes"}


def test_rows_made_in_bulk_and_deleted_rows_are_followed_too():
    Supplier.objects.bulk_create([Supplier(name="Bramble & Sons"), Supplier(name="Thistle Wire")])
    assert titles("thistle") == {"Suppliers": ["Thistle Wire"]}
    Supplier.objects.filter(name__startswith="Thistle").delete()
    assert titles("thistle") == {}


def test_a_change_that_tells_the_search_nothing_leaves_no_note():
    material = make_material("Bone nut blank")
    update_search()
    Material.objects.filter(pk=material.pk).update(replacement_price=3)
    assert not _is_stale()
    Material.objects.filter(pk=material.pk).update(note="from the tin")
    assert _is_stale()


def _is_stale():
    from quotes.search.queries.index import something_is_stale

    return something_is_stale()


@pytest.mark.parametrize(
    "typed", ["12", "1", "x%", "_", '"', "'", "\\", "a OR b", "NEAR(", "*", "-"]
)
def test_signs_and_short_words_are_looked_for_as_typed(typed):
    make_supplier("Wire 12 & more")
    found = titles(typed)
    assert (found != {}) == (typed in {"12", "1"})


def test_a_misspelt_word_finds_what_was_meant_and_says_so():
    make_client("Osric Pondweed")
    update_search()
    found = find("ozric pondwed")
    assert found.meant == "osric pondweed"
    assert found.only_hit.title == "Osric Pondweed"


def test_the_best_titles_come_first():
    for name in ("Old maple", "Maple", "Maple board", "Unmapled"):
        make_material(name)
    assert titles("maple")["Materials"] == ["Maple", "Maple board", "Old maple"]


def test_the_rest_of_a_kind_has_pages_of_its_own():
    Client.objects.bulk_create([Client(name=f"Moss {number}") for number in range(60)])
    update_search()
    [group] = find("moss").groups
    assert (len(group.hits), group.has_more) == (6, True)
    pages = [find_of_kind("moss", CLIENT, page).groups[0] for page in (1, 2)]
    assert [(len(page.hits), page.has_more) for page in pages] == [(50, True), (10, False)]
    assert find_of_kind("moss", QUOTE, 1).groups == []


def test_triggers_that_a_migration_dropped_are_set_again_and_their_rows_taken_in():
    update_search()
    stop_watching_for_search()
    assert triggers() == {}
    make_client("Lune Farthing-Quill")
    assert titles("lune") == {}
    watch_for_search()
    assert titles("lune") == {"Clients": ["Lune Farthing-Quill"]}


def test_every_kind_leads_to_a_page(desk):
    for kind in KINDS:
        assert reverse(kind.page, args=[*kind.within, "1"])


def test_enter_on_what_is_found_once_opens_its_page(desk):
    osric = make_client("Osric Pondweed")
    answer = desk.get("/search/", {"q": "pondw", "open": "1"})
    assert answer.status_code == 302
    assert answer.url == reverse("client", args=[osric.pk])


def test_the_page_says_when_nothing_is_found_and_what_was_meant(desk):
    make_client("Osric Pondweed")
    assert "Nothing found for “qqqq”" in desk.get("/search/", {"q": "qqqq"}).content.decode()
    meant = desk.get("/search/", {"q": "ozric"}).content.decode()
    assert "Shown: “osric”" in meant
    assert "Osric Pondweed" in meant


def test_lines_below_the_field_are_part_of_a_page(desk):
    make_client("Osric Pondweed")
    part = desk.get("/search/", {"q": "osr"}, headers={"HX-Request": "true"}).content.decode()
    assert "Osric Pondweed" in part
    assert "<html" not in part


def test_a_search_asks_as_many_questions_of_many_rows_as_of_few(django_assert_num_queries):
    make_client("Moss")
    update_search()
    with django_assert_num_queries(3):
        find("moss")
    Client.objects.bulk_create([Client(name=f"Moss {number}") for number in range(60)])
    update_search()
    with django_assert_num_queries(3):
        find("moss")
