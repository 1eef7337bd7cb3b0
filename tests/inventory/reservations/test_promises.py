"""Letting go of a promise at the desk, and thinking better of it."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Material
from inventory.reservations.services import reserve_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked


@pytest.fixture
def promise(workshop):
    return promise_of(stocked(quantity=10), 4)


def promise_of(material, quantity, holder="build:1"):
    ask = {"material": material, "quantity": Decimal(quantity), "now": NOW}
    return reserve_stock(holder=holder, holder_name="Osric's mandolin", **ask)


def free(promise):
    return Material.objects.get(pk=promise.material_id).free


def test_a_promise_is_let_go_and_made_again_within_ten_seconds(desk, promise):
    address = reverse("release_reservation", args=[promise.pk])
    assert address in desk.get(reverse("material", args=[promise.material_id])).content.decode()
    answer = desk.post(address, follow=True)
    assert free(promise) == 10
    (notice,) = answer.context["messages"]
    desk.post(notice.extra_tags)
    assert free(promise) == 6


def test_what_was_promised_to_another_meanwhile_is_not_promised_again(desk, promise):
    answer = desk.post(reverse("release_reservation", args=[promise.pk]), follow=True)
    (notice,) = answer.context["messages"]
    promise_of(promise.material, 8, holder="build:2")
    answer = desk.post(notice.extra_tags, follow=True)
    assert "2 available, 4 requested" in answer.content.decode()
    assert free(promise) == 2


@pytest.mark.parametrize("quantity", ["", "-1", "5", "nan", "many"])
def test_no_more_is_promised_again_than_there_was(desk, promise, quantity):
    address = reverse("promise_again", args=[promise.pk])
    assert desk.post(f"{address}?quantity={quantity}").status_code == 404
    assert free(promise) == 6
