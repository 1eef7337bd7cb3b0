"""Counting a shelf: frozen, noted, closed."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.base.refusals import Refusal
from inventory.counting.queries import lines_of
from inventory.counting.services import close_count, record_count, start_count
from inventory.models import Count, KeptAs, Place, Reason
from inventory.shelf.queries.value import stock_as_of
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked, stocked_pieces


def start(desk, **data):
    desk.post(reverse("new_count"), {"name": "year end", **data})
    return Count.objects.first()


def sheet(desk, count, **counted):
    data = {f"line-{key}-counted": value for key, value in counted.items()}
    return desk.post(reverse("count", args=[count.pk]), data)


def close(desk, count):
    return press(desk, count, "close")


def press(desk, count, button):
    """Send the sheet as it is shown, by one of its buttons."""
    shown = desk.get(reverse("count", args=[count.pk])).context["forms"]
    fields = [form[name] for form in shown for name in form.fields]
    data = {field.html_name: field.value() or "" for field in fields}
    return desk.post(reverse("count", args=[count.pk]), {**data, button: ""}, follow=True)


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
    blind = start_count(name="blind", now=NOW, is_blind=True)
    assert "1,234" not in desk.get(reverse("count", args=[blind.pk])).content.decode()
    open_count = start_count(name="open", now=NOW)
    assert "1,234" in desk.get(reverse("count", args=[open_count.pk])).content.decode()


def test_a_blind_count_marks_no_difference_until_the_books_are_shown(desk):
    stocked(quantity=10)
    count = start_count(name="blind", now=NOW, is_blind=True)
    line = count.lines.get()
    sheet(desk, count, **{str(line.pk): "7"})
    page = desk.get(reverse("count", args=[count.pk])).content.decode()
    assert 'class="hand"' not in page
    assert "Differences" not in page
    press(desk, count, "reveal")
    page = desk.get(reverse("count", args=[count.pk])).content.decode()
    assert 'class="hand"' in page
    assert "Without a reason" in page
    assert count.lines.get().counted == 7


def test_what_was_typed_is_kept_when_the_count_is_closed_at_once(desk):
    material = stocked(quantity=10)
    count = start(desk)
    data = {f"line-{count.lines.get().pk}-counted": "8", "close": ""}
    desk.post(reverse("count", args=[count.pk]), data)
    material.refresh_from_db()
    assert material.on_hand == 8


def test_a_count_of_the_year_s_end_taken_later_changes_that_day_s_stock(desk):
    """Counted on 9 March against 31 December: 3 were drawn since, 1 was missing already."""
    material = stocked(quantity=10, price="20.00", received_on=date(2026, 12, 1))
    draw_stock(material=material, quantity=Decimal(3), holder="build:1", now=NOW)
    at = datetime(2026, 12, 31, 23, 59, tzinfo=UTC)
    count = start_count(name="year end", now=NOW, frozen_at=at)
    line = lines_of(count).get()
    assert (line.expected, line.moved) == (10, -3)
    record_count(line=line, counted=Decimal(9), reason="broken")
    close_count(count=count, now=NOW)
    material.refresh_from_db()
    assert material.on_hand == 6
    (held,) = stock_as_of(at)
    assert (held.quantity, held.cost) == (9, Decimal("18.00"))


def test_a_closed_count_goes_on_showing_what_differed(desk):
    stocked(quantity=10)
    count = start_count(name="year end", now=NOW)
    record_count(line=count.lines.get(), counted=Decimal(7))
    close_count(count=count, now=NOW + timedelta(hours=1))
    page = desk.get(reverse("count", args=[count.pk]))
    assert [form.difference for form in page.context["forms"]] == [-3]
    assert page.context["differing"] == 1


def test_what_lay_there_on_the_day_is_counted_though_it_is_gone_by_now(desk):
    material = stocked(quantity=2, received_on=date(2026, 12, 1))
    draw_stock(material=material, quantity=Decimal(2), holder="build:1", now=NOW)
    at = datetime(2026, 12, 31, 23, 59, tzinfo=UTC)
    assert start_count(name="year end", now=NOW, frozen_at=at).lines.get().expected == 2
    before = at - timedelta(days=60)
    with pytest.raises(Refusal, match="There is nothing"):
        start_count(name="too early", now=NOW, frozen_at=before)


def test_a_draw_from_before_the_freeze_that_is_told_late_is_no_difference(desk):
    material = stocked(quantity=10)
    count = start_count(name="year end", now=NOW)
    draw_stock(
        material=material,
        quantity=Decimal(4),
        holder="build:1",
        now=NOW + timedelta(hours=1),
        happened_at=NOW - timedelta(minutes=5),
    )
    record_count(line=count.lines.get(), counted=Decimal(6))
    assert close_count(count=count, now=NOW + timedelta(hours=2)) == []
    material.refresh_from_db()
    assert material.on_hand == 6


def test_the_books_of_a_day_to_come_are_not_frozen(desk):
    stocked()
    answer = desk.post(reverse("new_count"), {"name": "x", "on": "2099-12-31"})
    assert answer.status_code == 409
    assert "Choose a day that is over" in answer.content.decode()


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
    assert "already closed" in close(desk, count).content.decode()
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
    with django_assert_num_queries(8):
        desk.get(reverse("count", args=[count.pk]))
    with django_assert_num_queries(5):
        desk.get(reverse("counts"))


def test_notes_without_a_change_of_figures_are_kept(desk):
    stocked()
    count = start(desk)
    line = record_count(line=count.lines.get(), counted=None, note="not found in the dark")
    line.refresh_from_db()
    assert line.note == "not found in the dark"
