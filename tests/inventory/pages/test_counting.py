"""Counting a shelf: frozen, noted, closed."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Count, KeptAs, Place, Reason
from inventory.services.draw_stock import draw_stock
from inventory.services.note_count import note_count
from inventory.services.start_count import start_count
from tests.factories import NOW
from tests.inventory.stocked import stocked, stocked_pieces


def start(desk, **data):
    desk.post(reverse("new_count"), {"name": "year end", **data})
    return Count.objects.first()


def sheet(desk, count, **counted):
    data = {f"line-{key}-counted": value for key, value in counted.items()}
    return desk.post(reverse("count", args=[count.pk]), data)


def close(desk, count):
    return desk.post(reverse("close_count", args=[count.pk]), follow=True)


def test_a_difference_is_booked_with_its_reason_when_the_count_is_closed(desk):
    material = stocked(quantity=10, price="20.00")
    count = start(desk)
    line = count.lines.get()
    data = {f"line-{line.pk}-counted": "7", f"line-{line.pk}-reason": "given"}
    desk.post(reverse("count", args=[count.pk]), data)
    material.refresh_from_db()
    assert material.on_hand == 10
    close(desk, count)
    material.refresh_from_db()
    entry = material.entries.get(reason=Reason.COUNTED)
    assert (material.on_hand, entry.quantity, entry.cost) == (7, -3, Decimal("-6.00"))
    assert entry.note == "given away"


def test_what_moves_while_counting_does_not_disturb_the_count(desk):
    material = stocked(quantity=10)
    count = start(desk)
    draw_stock(material=material, quantity=Decimal(4), holder="build:1", now=NOW)
    line = count.lines.get()
    sheet(desk, count, **{str(line.pk): "9"})
    close(desk, count)
    material.refresh_from_db()
    # 9 lay there at the freeze, where the books had 10; 4 have gone since
    assert material.on_hand == 5


def test_lots_that_were_not_counted_stay_as_they_are(desk):
    one, other = stocked(), stocked()
    count = start(desk)
    line = count.lines.get(material=one)
    sheet(desk, count, **{str(line.pk): "0"})
    close(desk, count)
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.on_hand, other.on_hand) == (0, 10)


def test_a_count_of_every_lot_settles_draws_beyond_the_books(desk):
    material = stocked(quantity=2)
    draw_stock(material=material, quantity=Decimal(5), holder="build:1", now=NOW)
    stocked(material=material, quantity=4)
    count = start(desk)
    sheet(desk, count, **{str(line.pk): "4" for line in count.lines.all()})
    close(desk, count)
    material.refresh_from_db()
    assert material.on_hand == 4
    assert not material.entries.filter(to_reconcile=True, reconciled_at=None).exists()


def test_a_part_used_pack_is_counted_by_its_measure(desk):
    glue = stocked(KeptAs.MASS, 1000, unit="g")
    count = start(desk)
    sheet(desk, count, **{str(count.lines.get().pk): "0.62 kg"})
    close(desk, count)
    glue.refresh_from_db()
    assert glue.on_hand == 620


def test_a_piece_that_is_gone_is_booked_and_one_counted_twice_is_refused(desk):
    material, _ = stocked_pieces(2)
    count = start(desk)
    first, second = count.lines.all()
    assert sheet(desk, count, **{str(first.pk): "2"}).status_code == 409
    sheet(desk, count, **{str(first.pk): "0", str(second.pk): "1"})
    close(desk, count)
    material.refresh_from_db()
    assert material.on_hand == 1


def test_a_blind_count_does_not_show_what_the_books_say(desk):
    stocked(quantity=1234)
    blind = start(desk, is_blind="on")
    assert "1,234" not in desk.get(reverse("count", args=[blind.pk])).content.decode()
    open_count = start(desk)
    assert "1,234" in desk.get(reverse("count", args=[open_count.pk])).content.decode()


def test_only_the_place_that_is_counted_is_on_the_sheet(desk):
    here, _ = stocked(), stocked()
    place = Place.objects.create(name="Loft")
    here.lots.update(place=place)
    assert [line.material for line in start(desk, place=place.pk).lines.all()] == [here]


def test_an_empty_shelf_is_not_counted(desk):
    place = Place.objects.create(name="Loft")
    answer = desk.post(reverse("new_count"), {"name": "x", "place": place.pk})
    assert answer.status_code == 409
    assert not Count.objects.exists()


def test_a_closed_count_is_closed(desk):
    stocked()
    count = start(desk)
    close(desk, count)
    assert "closed already" in close(desk, count).content.decode()
    assert sheet(desk, count, **{str(count.lines.get().pk): "3"}).status_code == 409


@pytest.mark.parametrize("counted", ["-1", "some", "3 kg"])
def test_a_count_that_can_t_be_is_said_and_kept_out(desk, counted):
    stocked()
    count = start(desk)
    assert sheet(desk, count, **{str(count.lines.get().pk): counted}).status_code == 422


@pytest.mark.parametrize("rows", [1, 25])
def test_a_count_sheet_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    for _ in range(rows):
        stocked()
    count = start_count(name="x", now=NOW)
    with django_assert_num_queries(6):
        desk.get(reverse("count", args=[count.pk]))
    with django_assert_num_queries(5):
        desk.get(reverse("counts"))


def test_notes_without_a_change_of_figures_are_kept(desk):
    stocked()
    count = start(desk)
    line = note_count(line=count.lines.get(), counted=None, note="not found in the dark")
    line.refresh_from_db()
    assert line.note == "not found in the dark"
