"""A delivery teaches price, day, supplier and lead time, unless the maker says no."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.ledger.services.incoming import NewLine
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Material, Order
from inventory.purchasing.queries.deliveries import price_history, received_by
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


def receive(material, quantity, price, on=TODAY, order_line=None, pack=None, **more):
    line = NewLine(
        material=material,
        quantity=Decimal(quantity),
        price=Decimal(price),
        order_line=order_line,
        pack=pack,
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


def undo(delivery):
    reverse_groups(entries=received_by(delivery), now=NOW)


def test_reversing_a_delivery_takes_back_the_price_that_it_taught(tuners, foundry):
    delivery = receive(tuners, 1, 82, supplier=foundry, teaches=True)
    undo(delivery)
    assert known(tuners)[:2] == (Decimal("75.0000"), ASKED_ON)
    assert [note.is_taken_back for note in price_history(tuners) if note.delivery_line] == [
        True
    ] * 2


def test_a_price_asked_since_outlives_the_delivery(tuners, foundry):
    delivery = receive(tuners, 1, 82, supplier=foundry, teaches=True)
    record_price(material=tuners, price=Decimal(82), on=TODAY, realisable=Decimal(60))
    undo(delivery)
    assert known(tuners)[:2] == (Decimal("82.0000"), TODAY)


def test_a_delivery_that_still_stands_goes_on_teaching(tuners, foundry):
    first = receive(tuners, 1, 82, supplier=foundry, teaches=True)
    receive(tuners, 1, 84, supplier=foundry, teaches=True)
    undo(first)
    assert known(tuners)[0] == 84


def test_half_of_a_line_of_pieces_reversed_leaves_the_price(workshop, foundry):
    sets = make_material("Spruce set", kept_as="piece", replacement_price=None)
    delivery = receive(sets, 2, 64, supplier=foundry, teaches=True)
    first, second = received_by(delivery)
    reverse_groups(entries=[first], now=NOW)
    assert known(sets)[0] == 32
    reverse_groups(entries=[second], now=NOW)
    assert known(sets)[0] is None


def test_a_price_that_was_never_noted_comes_back_too(workshop, foundry):
    glue = make_material("Hide glue", replacement_price=Decimal("12.50"))
    undo(receive(glue, 1, 14, supplier=foundry, teaches=True))
    assert known(glue)[0] == Decimal("12.5000")


def test_a_pack_size_is_learned_where_it_is_told(tuners, foundry):
    receive(tuners, 12, 900, supplier=foundry, teaches=True, pack=Decimal(6))
    assert Material.objects.get(pk=tuners.pk).pack == 6
    receive(tuners, 1, 82, supplier=foundry, teaches=True)
    assert Material.objects.get(pk=tuners.pk).pack == 6


def test_the_page_and_the_api_take_a_pack_size(desk, phone, tuners, foundry):
    typed = form(tuners, foundry, book="", teaches="on", **{"form-0-pack": "0"})
    answer = desk.post(reverse("new_delivery"), typed)
    assert "The pack size must be above 0." in answer.content.decode()
    desk.post(reverse("new_delivery"), typed | {"form-0-pack": "6"})
    assert Material.objects.get(pk=tuners.pk).pack == 6
    line = {"material": tuners.pk, "quantity": "1", "price": "82.00", "pack": "4"}
    asked = {"received_on": f"{TODAY}", "lines": [line]}
    assert phone.post("/api/v1/deliveries/", asked, format="json").status_code == 201
    assert Material.objects.get(pk=tuners.pk).pack == 4
