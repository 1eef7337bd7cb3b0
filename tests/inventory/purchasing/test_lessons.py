"""A delivery teaches price, day, supplier and lead time, unless the maker says no."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.ledger.services.incoming import NewLine
from inventory.models import Material, Order
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.shelf.services.records import record_price
from tests.factories import NOW, TODAY, make_material, make_supplier

pytestmark = pytest.mark.django_db
ASKED_ON = date(2026, 9, 1)


@pytest.fixture
def tuners(workshop):
    material = make_material("Tuners, 4+4")
    return record_price(material=material, price=Decimal(75), on=ASKED_ON, realisable=Decimal(60))


@pytest.fixture
def foundry(workshop):
    return make_supplier("Tin Whistle Foundry")


def receive(material, quantity, price, on=TODAY, order_line=None, **more):
    line = NewLine(
        material=material,
        quantity=Decimal(quantity),
        price=Decimal(price),
        order_line=order_line,
    )
    return receive_delivery(received_on=on, lines=[line], now=NOW, **more)


def known(material):
    fresh = Material.objects.get(pk=material.pk)
    return fresh.replacement_price, fresh.replacement_checked_on, fresh.supplier


def test_two_sets_at_164_with_10_carriage_teach_87_a_set_and_their_day(tuners, foundry):
    """(164.00 + 10.00) / 2 is 87.00 landed."""
    receive(tuners, 2, 164, carriage=Decimal(10), supplier=foundry, teaches=True)
    assert known(tuners) == (Decimal("87.0000"), TODAY, foundry)


def test_a_delivery_that_does_not_teach_leaves_all_as_it_was(tuners, foundry):
    receive(tuners, 2, 164, supplier=foundry)
    assert known(tuners) == (Decimal("75.0000"), ASKED_ON, None)


def test_the_realisable_value_and_its_day_stay_as_they_were(tuners, foundry):
    receive(tuners, 2, 164, supplier=foundry, teaches=True)
    fresh = Material.objects.get(pk=tuners.pk)
    assert fresh.realisable_price == 60
    assert fresh.price_notes.get(kind="realisable").noted_on == ASKED_ON


def test_a_delivery_told_late_does_not_put_back_a_price_asked_since(tuners, foundry):
    record_price(material=tuners, price=Decimal(90), on=TODAY, realisable=Decimal(60))
    receive(tuners, 1, 82, on=TODAY - timedelta(days=20), supplier=foundry, teaches=True)
    assert known(tuners)[:2] == (Decimal("90.0000"), TODAY)


def test_what_cost_nothing_teaches_no_price(tuners, foundry):
    receive(tuners, 1, 0, supplier=foundry, teaches=True)
    assert known(tuners) == (Decimal("75.0000"), ASKED_ON, foundry)


def test_the_days_from_order_to_shelf_are_the_lead_time(tuners, foundry):
    sent_on = TODAY - timedelta(days=19)
    order = Order.objects.create(
        number="O-1", supplier=foundry, made_on=sent_on, sent_on=sent_on, currency="EUR"
    )
    line = order.lines.create(
        material=tuners, words="tuners", quantity=Decimal(2), price=Decimal(80)
    )
    receive(tuners, 2, 160, supplier=foundry, order_line=line, teaches=True)
    assert Material.objects.get(pk=tuners.pk).lead_time == 19


def form(tuners, foundry, **more):
    head = {"supplier": foundry.pk, "received_on": f"{TODAY}", "share_by": "value"}
    line = {"material": tuners.name, "quantity": "1", "price": "82", "parts": "1"}
    rows = {f"form-0-{name}": value for name, value in line.items()}
    return head | rows | {"form-TOTAL_FORMS": "1", "form-INITIAL_FORMS": "0"} | more


def test_the_page_shows_new_beside_old_before_it_is_saved(desk, tuners, foundry):
    address = reverse("new_delivery")
    answer = desk.post(address, form(tuners, foundry, look="", teaches="on"))
    page = answer.content.decode()
    assert "What changes with it" in page
    [lesson] = answer.context["lessons"]
    assert (lesson.material.replacement_price, lesson.price) == (75, 82)
    assert round(lesson.more_percent, 1) == Decimal("9.3")
    assert known(tuners)[0] == 75
    desk.post(address, form(tuners, foundry, book="", teaches="on"))
    assert known(tuners) == (Decimal("82.0000"), TODAY, foundry)


def test_who_says_no_on_the_page_keeps_the_old_price(desk, tuners, foundry):
    desk.post(reverse("new_delivery"), form(tuners, foundry, book=""))
    assert known(tuners) == (Decimal("75.0000"), ASKED_ON, None)


@pytest.mark.parametrize("teaches", [True, False])
def test_over_the_api_it_teaches_unless_told_not_to(phone, tuners, foundry, teaches):
    asked = {
        "supplier": foundry.pk,
        "received_on": f"{TODAY}",
        "lines": [{"material": tuners.pk, "quantity": "1", "price": "82.00"}],
    }
    asked |= {} if teaches else {"teaches": False}
    assert phone.post("/api/v1/deliveries/", asked, format="json").status_code == 201
    assert known(tuners)[0] == (82 if teaches else 75)
