"""Packs that open, expire, and are written off."""

from datetime import date, datetime, time, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import KeptAs, StockRules
from inventory.shelf.services.moves import expire_lot
from tests.inventory.stocked import stocked

TODAY = date.today()


def glue(days=None, **fields):
    material = stocked(KeptAs.MASS, 500, unit="g", **fields)
    if days is not None:
        material.lots.update(expires_on=TODAY + timedelta(days=days))
    return material


def shown(desk):
    return [lot.material.name for lot in desk.get(reverse("shelf_life")).context["page"]]


def test_what_expires_within_the_days_of_warning_is_shown_soonest_first(desk):
    glue(31, name="later")
    glue(29, name="soon")
    glue(-3, name="gone")
    glue(name="never")
    assert shown(desk) == ["gone", "soon"]
    StockRules.objects.create(pk=1, warn_days=40)
    assert shown(desk) == ["gone", "soon", "later"]


def test_an_opened_pack_keeps_as_long_as_opened_stock_does(desk):
    lot = glue(300, open_days=30).lots.get()
    desk.post(reverse("open_pack", args=[lot.number]))
    lot.refresh_from_db()
    assert lot.expires_on == TODAY + timedelta(days=30)
    page = desk.post(reverse("open_pack", args=[lot.number]), follow=True)
    assert "was opened on" in page.content.decode()


def test_opening_never_makes_a_pack_last_longer(desk):
    lot = glue(10, open_days=30).lots.get()
    desk.post(reverse("open_pack", args=[lot.number]))
    lot.refresh_from_db()
    assert lot.expires_on == TODAY + timedelta(days=10)


def test_a_pack_with_a_known_life_expires_from_its_arrival(desk):
    material = stocked(KeptAs.MASS, 500, unit="g", shelf_days=365)
    lot = material.lots.get()
    assert lot.expires_on == lot.received_on + timedelta(days=365)


def test_what_has_expired_goes_to_nil_with_its_reason(desk):
    material = glue(-3)
    lot = material.lots.get()
    desk.post(reverse("write_off", args=[lot.number]))
    material.refresh_from_db()
    entry = material.entries.get(reason="scrapped")
    assert (material.on_hand, material.book_cost) == (0, 0)
    assert entry.note.startswith("expired ")
    page = desk.post(reverse("write_off", args=[lot.number]), follow=True)
    assert "Nothing is left" in page.content.decode()


@pytest.mark.parametrize(
    ("day", "words"),
    [(9, "expired 9 Mar 2027"), (12, "written off before expiry on 12 Mar 2027")],
)
def test_the_journal_says_whether_it_had_expired(desk, day, words):
    lot = glue().lots.get()
    lot.expires_on = date(2027, 3, day)
    lot.save()
    now = timezone.make_aware(datetime.combine(date(2027, 3, 9), time(12)))
    (entry,) = expire_lot(lot=lot, now=now)
    assert entry.note == words


@pytest.mark.parametrize("rows", [1, 25])
def test_the_page_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    for _ in range(rows):
        glue(3, open_days=9)
    with django_assert_num_queries(6):
        desk.get(reverse("shelf_life"))
