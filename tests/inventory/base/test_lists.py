"""A list is sorted by its heads, keeps its filters in the address, and comes as a file."""

import csv
from decimal import Decimal
from io import StringIO

import pytest
from django.urls import reverse

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import CostMethod, KeptAs, Material, Place, Supplier
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.purchasing.services.orders import ToOrder, make_orders
from inventory.shelf.services.records import edit_materials
from tests.factories import NOW, TODAY, make_family, make_material
from tests.inventory.stocked import stocked
from tests.quotes.factories import make_quote
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf(workshop):
    north = Supplier.objects.create(name="North Timber")
    for name, held, supplier in (("Ash", 3, None), ("Birch", 1, north), ("Cherry", 2, north)):
        row = make_material(name, KeptAs.COUNT, unit="ea")
        row.on_hand, row.supplier = Decimal(held), supplier
        row.save(update_fields=["on_hand", "supplier"])
    return north


def names(answer):
    return [row.name for row in answer.context["list"].page]


@pytest.mark.parametrize(
    ("query", "order"),
    [
        ("", ["Ash", "Birch", "Cherry"]),
        ("sort=-name", ["Cherry", "Birch", "Ash"]),
        ("sort=on_hand", ["Birch", "Cherry", "Ash"]),
        ("sort=-on_hand", ["Ash", "Cherry", "Birch"]),
        ("sort=supplier", ["Birch", "Cherry", "Ash"]),
        ("sort=nonsense", ["Ash", "Birch", "Cherry"]),
    ],
)
def test_a_head_sorts_and_what_is_missing_stands_last(desk, shelf, query, order):
    assert names(desk.get(f"{reverse('stock')}?{query}")) == order


def test_a_second_click_on_a_head_turns_the_order_and_keeps_the_filters(desk, shelf):
    text = desk.get(f"{reverse('stock')}?q=r&sort=name&page=1").content.decode()
    assert '<a class="sort" href="?q=r&amp;sort=-name">' in text
    assert 'aria-sort="ascending"' in text


def test_the_file_has_the_rows_of_the_filter_in_their_order(desk, shelf):
    answer = desk.get(f"{reverse('stock')}?q=r&sort=-name&as=csv")
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    assert [row["Material"] for row in csv.DictReader(StringIO(text))] == ["Cherry", "Birch"]


LISTS = ("stock", "orders", "deliveries", "builds", "quotes", "clients")


@pytest.fixture
def a_row_of_each(shelf):
    nuts = stocked(name="Nuts", supplier=shelf)
    line = ToOrder(material=nuts, quantity=Decimal(10), price=Decimal(4))
    make_orders(lines=[line], on=TODAY)
    make_build()
    make_quote()


@pytest.mark.parametrize("name", LISTS)
def test_every_list_comes_as_a_file_and_takes_every_order_it_offers(desk, a_row_of_each, name):
    page = desk.get(reverse(name))
    assert page.context["list"].choices
    for sort, _ in page.context["list"].choices:
        assert desk.get(f"{reverse(name)}?sort={sort}").status_code == 200
    answer = desk.get(f"{reverse(name)}?as=csv")
    assert answer["Content-Type"] == "text/csv"
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    head, *rows = csv.reader(StringIO(text))
    assert {one.label for one in page.context["list"].heads if one.sort} <= {*head}
    assert len(rows) == len(page.context["list"].page) > 0


def test_many_materials_get_one_supplier_at_once_and_the_rest_stays(desk, shelf):
    alder = stocked(name="Alder", family=make_family("Boards"))
    beech = stocked(KeptAs.LENGTH, name="Beech")
    place = Place.objects.create(name="Rack 4")
    posted = {"ticked": [alder.pk, beech.pk], "supplier": shelf.pk, "place": place.pk}
    answer = desk.post(f"{reverse('edit_materials')}?q=e&sort=-name", posted)
    assert answer["Location"] == f"{reverse('stock')}?q=e&sort=-name"
    for before in (alder, beech):
        after = Material.objects.get(pk=before.pk)
        assert after.supplier == shelf
        assert (after.kept_as, after.family) == (before.kept_as, before.family)
        assert [lot.place for lot in after.lots.all()] == [place]
    assert Material.objects.get(name="Ash").supplier is None


def test_a_material_with_stock_entries_is_not_kept_another_way(shelf):
    glue, wire = make_material("Glue", KeptAs.COUNT, unit="ea"), make_material("Wire")
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=glue, quantity=Decimal(1), price=Decimal(2))],
        now=NOW,
    )
    with pytest.raises(Refusal, match="Glue has stock entries"):
        edit_materials(materials=[wire, glue], kept_as=KeptAs.LENGTH, supplier=shelf)
    wire.refresh_from_db()
    assert wire.supplier is None


def test_page_and_file_say_the_same_of_a_material_that_is_reserved_but_not_low(desk, shelf):
    row = Material.objects.get(name="Ash")
    row.reorder_level, row.promised = Decimal(2), Decimal(2)
    row.save(update_fields=["reorder_level", "promised"])
    assert (row.fit, row.free) == (3, 1)
    assert said_of("Ash", desk) == ["", False]
    row.reorder_level = Decimal(4)
    row.save(update_fields=["reorder_level"])
    assert said_of("Ash", desk) == ["low", True]


def said_of(name, desk):
    """What the file says of a material's status, and whether the page calls anything low."""
    answer = desk.get(f"{reverse('stock')}?as=csv")
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    told = {line["Material"]: line["Status"] for line in csv.DictReader(StringIO(text))}
    return [told[name], "</svg>low</span>" in desk.get(reverse("stock")).content.decode()]


def test_a_cost_method_that_fits_stays_and_another_gives_way():
    assert CostMethod.fitting("count", "average") == "average"
    assert CostMethod.fitting("length", "actual") == "fifo"
    assert CostMethod.fitting("count", "") == "fifo"
    assert CostMethod.fitting("piece", "average") == "actual"
