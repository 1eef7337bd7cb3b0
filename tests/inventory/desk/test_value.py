"""What the stock stands at: on the page, family by family, and as tables to keep."""

from decimal import Decimal
from io import BytesIO

import pandas as pd
import pytest
from django.urls import reverse

from inventory.desk.pages import value as value_page
from inventory.models import KeptAs
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, make_family, make_material
from tests.inventory.stocked import stocked


@pytest.fixture
def many(monkeypatch):
    """More materials than stand on one page: three woods and two others."""
    monkeypatch.setattr(value_page, "ON_ONE_PAGE", 4)
    hardware = make_family("Hardware")
    for worth in ("1.50", "9.00", None):
        stocked(quantity=10, price="20.00", realisable_price=worth)
    for _ in range(2):
        stocked(quantity=5, price="7.15", realisable_price="1.00", family=hardware)
    return hardware


def sums(page):
    return [page.context[name] for name in ("cost", "value", "replacement")]


def words(page):
    return page.content.decode()


def test_many_materials_are_shown_as_sums_of_their_families(desk, many):
    page = desk.get(reverse("stock_value"))
    assert sums(page) == [Decimal("74.30"), Decimal(65), Decimal(80)]
    by_family = {
        held.family.name: (held.cost, held.value, held.replacement)
        for held in page.context["families"]
    }
    assert by_family == {
        "Hardware": (Decimal("14.30"), Decimal(10), Decimal(20)),
        "Tonewoods": (Decimal(60), Decimal(55), Decimal(60)),
    }
    assert "/stock/m/" not in words(page)


def test_a_family_opens_to_the_materials_that_its_sums_are_made_from(desk, many):
    day = {"on": "2027-12-31"}
    whole = desk.get(reverse("stock_value"), day)
    address = f"{reverse('family_value', args=[many.pk])}?on=2027-12-31"
    assert f'href="{address}"' in words(whole)
    page = desk.get(address)
    assert sums(page) == [Decimal("14.30"), Decimal(10), Decimal(20)]
    assert words(page).count("/stock/m/") == 2
    assert f"{reverse('stock_value')}?on=2027-12-31" in words(page)


def test_a_large_family_is_paged_and_its_sums_stay_whole(desk, many, monkeypatch):
    monkeypatch.setattr(value_page, "PAGE", 1)
    page = desk.get(reverse("family_value", args=[many.pk]), {"page": 2})
    assert words(page).count("/stock/m/") == 1
    assert sums(page) == [Decimal("14.30"), Decimal(10), Decimal(20)]


def test_every_material_can_still_be_had_on_one_page(desk, many):
    page = desk.get(reverse("stock_value"), {"whole": "yes"})
    assert words(page).count("/stock/m/") == 5
    assert sums(page) == [Decimal("74.30"), Decimal(65), Decimal(80)]


def test_few_materials_are_shown_at_once(desk):
    stocked()
    assert words(desk.get(reverse("stock_value"))).count("/stock/m/") == 1


def test_a_family_with_nothing_on_the_shelf_says_so(desk):
    page = desk.get(reverse("family_value", args=[make_family("Hardware").pk]))
    assert "None was in stock" in words(page)


@pytest.mark.parametrize("rows", [1, 25])
def test_the_value_of_a_family_takes_a_fixed_number_of_queries(
    desk, django_assert_num_queries, rows
):
    materials = [stocked() for _ in range(rows)]
    address = reverse("family_value", args=[materials[0].family_id])
    with django_assert_num_queries(7):
        desk.get(address)
    with django_assert_num_queries(9):
        desk.get(address, {"on": "2027-12-31"})


def test_value_is_the_lower_of_cost_and_realisable_item_by_item(desk):
    stocked(quantity=10, price="20.00", realisable_price=Decimal("1.50"))
    stocked(quantity=10, price="20.00", realisable_price=Decimal("9.00"))
    stocked(quantity=10, price="20.00", family=make_family("Hardware"))
    page = desk.get(reverse("stock_value"))
    assert (page.context["cost"], page.context["value"]) == (Decimal(60), Decimal(55))
    names = [held.family.name for held in page.context["families"]]
    assert names == ["Hardware", "Tonewoods"]
    assert page.context["replacement"] == Decimal(60)


@pytest.mark.parametrize("rows", [1, 25])
def test_the_value_of_the_stock_takes_a_fixed_number_of_queries(
    desk, django_assert_num_queries, rows
):
    for _ in range(rows):
        stocked()
    with django_assert_num_queries(7):
        desk.get(reverse("stock_value"))
    with django_assert_num_queries(9):
        desk.get(reverse("stock_value"), {"on": "2027-12-31"})


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_stock_of_a_past_day_goes_out_as_a_table(desk, kind):
    material = stocked(name="=sum(A1)", quantity=10, price="20.00")
    draw_stock(material=material, quantity=Decimal(4), holder="build:1", now=NOW.replace(year=2028))
    answer = desk.get(reverse("value_file", args=[kind]), {"on": "2027-12-31"})
    read = pd.read_csv if kind == "csv" else pd.read_excel
    (row,) = read(BytesIO(answer.getvalue())).to_dict("records")
    assert (row["quantity"], row["cost"]) == (10, 20)
    assert row["material"] == "'=sum(A1)"


def test_the_journal_goes_out_entry_by_entry(desk):
    material = stocked(KeptAs.LENGTH, 6000, unit="m")
    draw_stock(material=material, quantity=Decimal(1050), holder="build:12", now=NOW)
    answer = desk.get(reverse("stock_journal_file", args=["csv"]))
    rows = pd.read_csv(BytesIO(answer.getvalue())).to_dict("records")
    assert [(row["what"], row["quantity"]) for row in rows] == [("received", 6), ("drawn", -1.05)]
    assert rows[1]["for"] == "build:12"


@pytest.mark.parametrize("name", ["value_file", "stock_journal_file"])
def test_a_day_that_is_none_is_not_found(desk, name):
    assert desk.get(reverse(name, args=["csv"]), {"on": "2027-02-30"}).status_code == 404


def test_an_empty_stock_is_an_empty_table(desk):
    make_material()
    assert desk.get(reverse("value_file", args=["csv"])).status_code == 200
    assert desk.get(reverse("stock_value")).context["cost"] == 0
