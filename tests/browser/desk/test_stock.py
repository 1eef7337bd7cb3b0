"""Stock by hand at the desk: a board delivered, cut, weighed, counted, ordered and taken back."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.kits.services import save_recipe
from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Lot, Place
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.wood.services import load_species, record_moisture, weigh_piece
from tests.browser.axe import axe_source, faults_of
from tests.browser.conftest import VIEWPORTS
from tests.browser.desk.test_newcomer import fill, press
from tests.factories import make_material, make_supplier

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SEEN = (("light", "desk", 1), ("dark", "phone", 2))
"""Theme, width, and of how many pages one is looked at: each look takes half a second."""


def deliver(material, quantity, price, **facts):
    now = timezone.now()
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(price), **facts)
    receive_delivery(
        received_on=timezone.localdate(now), lines=[line], supplier=material.supplier, now=now
    )


@pytest.fixture
def viewport():
    return "desk"


@pytest.fixture
def maple():
    make_material("Neck blank, maple", KeptAs.PIECE)
    return make_material("Maple board, 52 mm", KeptAs.PIECE)


@pytest.fixture
def spruce():
    """A set near to rest by a dried sample, weighed twice of the three times that it takes."""
    material = make_material("Sitka spruce top, mandolin", KeptAs.PIECE)
    deliver(material, 1, "34.72", pieces=[PieceFacts(mass_g=Decimal(868), parts=2)])
    lot = Lot.objects.get(material=material)
    today = timezone.localdate()
    for days_ago, grams in ((14, "861.5"), (7, "859.8")):
        weigh_piece(lot=lot, grams=Decimal(grams), on=today - timedelta(days=days_ago))
    record_moisture(lot=lot, raw=Decimal("8.5"), on=today, by_oven=True)
    return lot


@pytest.fixture
def strings():
    """A dozen strings in a drawer, of a supplier, to be bought again below two dozen."""
    material = make_material(
        "String, plain 0.010", supplier=make_supplier("Fennel Fittings"), reorder_level=Decimal(24)
    )
    deliver(material, 12, "9.60", place=Place.objects.create(name="Drawers"))
    return material


def row(page, name):
    return page.get_by_role("row", name=re.compile(name)).first


def test_a_board_is_delivered_cut_by_plan_and_the_cut_taken_back(at_desk, maple):
    page = at_desk
    page.goto("/stock/deliveries/new/")
    fill(page, Carriage="7.67", Material=maple.name, Quantity="1", Line_total="90.11")
    press(page, "Save")

    board = Lot.objects.get(material=maple)
    page.goto(f"/stock/p/{board.number}/change/")
    fill(page, Length="2400", Width="190", Thickness="52")
    press(page, "Save")
    press(page, "Cut", role="link")
    fill(
        page,
        Becomes="Neck blank, maple",
        Length="620",
        Width="80",
        Quantity="6",
        Kerf="3",
        Trim_at_each_end="40",
    )
    press(page, "Preview the cuts")
    assert "451 × 190" in page.get_by_role("region", name=re.compile("^Parts of")).inner_text()
    if page.locator("#sure").count():  # the board is not known to be dry
        page.locator("#sure").check()
    press(page, "Cut by this plan")
    assert "19.01" in row(page, "T-0008").inner_text(), "the remnant takes its share of the cost"

    page.goto(f"/stock/p/{board.number}/")
    with page.expect_navigation():
        row(page, "^cut ").get_by_role("link", name="Reverse").click()
    fill(page, Reason="wrong board")
    page.locator("main button.main").click()
    page.wait_for_load_state("load")
    board.refresh_from_db()
    assert (board.remaining, board.remaining_cost) == (1, Decimal("97.78"))


def test_a_set_that_weighs_the_same_three_times_is_ready(at_desk, spruce):
    page = at_desk
    page.goto(f"/stock/p/{spruce.number}/")
    press(page, "Weigh", role="link")
    fill(page, Mass="858.9")
    press(page, "Weigh")
    words = page.locator("main").inner_text()
    assert "agree within 0.302 %" in words
    assert page.locator(".lede").inner_text().strip() == "available"


def test_a_blind_count_hides_the_books_and_books_the_difference(at_desk, strings):
    page = at_desk
    page.goto("/stock/counts/new/")
    fill(page, Name="Drawers")
    page.get_by_label("Hide the recorded quantities (blind count)").check()
    press(page, "Save")
    assert "Recorded" not in page.locator("main").inner_text()
    sheet = page.get_by_role("link", name="Count sheet (PDF)").get_attribute("href")
    assert page.request.get(sheet).body().startswith(b"%PDF")
    fill(page, Quantity_counted_of="10", Note_on="broke at set-up")
    press(page, "Save and show recorded quantities")
    assert "12" in row(page, strings.name).inner_text()
    page.get_by_label(re.compile("^Reason .* differs")).select_option(label="used without a record")
    press(page, "Save and close the count")
    page.goto(f"/stock/m/{strings.pk}/")
    entry = row(page, "^count difference").inner_text()
    assert "−2" in entry
    assert "used without a record: broke at set-up" in entry


def test_what_is_short_is_ordered_and_what_comes_closes_the_order(at_desk, strings):
    page = at_desk
    page.goto("/stock/to-buy/")
    press(page, "Make purchase orders")
    press(page, re.search(r"O-\d{4}-\d\d", page.locator("main table").inner_text())[0], role="link")
    press(page, "Save and mark as sent today")
    press(page, "Receive a delivery", role="link")
    press(page, "Save")
    page.goto("/stock/orders/")
    assert "closed" in row(page, "Fennel Fittings").inner_text()
    strings.refresh_from_db()
    assert strings.on_hand >= strings.reorder_level


def test_axe_finds_nothing_on_the_pages_of_the_stock(at_desk, maple, spruce, strings):
    axe_source()
    load_species()
    made = make_material("String set")
    recipe = save_recipe(material=made, parts=[(strings, Decimal(2))])
    addresses = [
        *(f"/stock/{name}" for name in ("", "to-buy/", "seasoning/", "value/", "labels/")),
        *(f"/stock/{name}" for name in ("species/", "m/new/", "deliveries/new/", "rules/")),
        f"/stock/m/{strings.pk}/",
        f"/stock/m/{strings.pk}/prices/",
        f"/stock/m/{maple.pk}/cut/",
        f"/stock/p/{spruce.number}/",
        f"/stock/made-up/{recipe.pk}/",
    ]
    faults = {}
    for theme, viewport, step in SEEN:
        at_desk.context.add_cookies(
            [{"name": "theme", "value": theme, "domain": "localhost", "path": "/"}]
        )
        at_desk.set_viewport_size(VIEWPORTS[viewport])
        for address in addresses[::step]:
            at_desk.goto(address)
            if found := faults_of(at_desk):
                faults[theme, address] = found
    assert faults == {}, "\n".join(f"{where}: {found}" for where, found in faults.items())


def test_what_takes_long_says_that_it_is_worked_on(at_desk, maple):
    at_desk.goto(f"/stock/m/{maple.pk}/cut/")
    at_desk.route("**/cut/", lambda route: None)  # no answer comes
    said = at_desk.evaluate(
        """() => {
            document.querySelector("button[name=look]").click();
            const words = () => document.querySelector("[role=status].working")?.textContent;
            return new Promise((done) => setTimeout(() => done(words()), 1500));
        }"""
    )
    assert said == "Saving …"
