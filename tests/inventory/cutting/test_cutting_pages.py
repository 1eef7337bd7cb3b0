"""Cutting on its page: the plan, its picture, and what it books."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import KeptAs, Lot, Material, Piece
from inventory.reservations.services import reserve_stock
from tests.factories import NOW, make_material
from tests.inventory.stocked import stocked, stocked_pieces

SAW = {"kerf": "3", "trim": "40", "least_length": "100", "least_width": "25"}


def parts(*rows):
    data = {"form-TOTAL_FORMS": str(len(rows)), "form-INITIAL_FORMS": "0"}
    for place, row in enumerate(rows):
        data |= {f"form-{place}-{name}": value for name, value in row.items()}
    return data


@pytest.fixture
def board(workshop):
    """The maple board of the second walk-through, at its landed cost."""
    _, (lot,) = stocked_pieces(1, price="97.78")
    Piece.objects.filter(pk=lot.pk).update(
        length_mm=Decimal(2400), width_mm=Decimal(190), thickness_mm=Decimal(52), is_ready=True
    )
    return lot


@pytest.fixture
def blank(workshop):
    return make_material("Neck blank, maple", KeptAs.PIECE)


def plan(desk, lot, rows, saw=SAW):
    address = reverse("cut_material", args=[lot.material_id])
    return desk.post(f"{address}?lot={lot.number}", {**saw, **parts(*rows), "look": ""})


def book(desk, lot, answer):
    address = reverse("cut_material", args=[lot.material_id])
    return desk.post(address, {"book": "", "plan": answer.context["sealed"]}, follow=True)


SIX = [{"material": "Neck blank, maple", "length": "620", "width": "80", "count": "6"}]


def test_the_board_of_the_walk_through_is_planned_and_booked(desk, board, blank):
    answer = plan(desk, board, SIX)
    ((job, picture),) = answer.context["cuts"]
    assert [(part.piece.length_mm, part.piece.width_mm) for part in job.remnants] == [(451, 190)]
    assert len([box for box in picture.boxes if box.kind == "part"]) == 6
    book(desk, board, answer)
    six = Lot.objects.filter(material=blank)
    remnant = Lot.objects.get(material=board.material, remaining=1)
    assert remnant.remaining_cost == Decimal("19.01")
    assert sum(lot.remaining_cost for lot in six) == Decimal("78.77")
    assert {lot.piece.thickness_mm for lot in six} == {Decimal(52)}
    assert {lot.piece.log for lot in six} == {board.number}


def test_many_blanks_get_a_first_plan_at_once_and_then_the_best(desk, blank):
    material, lots = stocked_pieces(5, price="97.78")
    Piece.objects.update(width_mm=Decimal(190), thickness_mm=Decimal(52), is_ready=True)
    for lot, length in zip(lots, (2400, 2100, 1900, 1700, 1500), strict=True):
        Piece.objects.filter(pk=lot.pk).update(length_mm=Decimal(length))
    rows = [{"material": blank.name, "length": "530", "width": "55", "count": "36"}]
    address = reverse("cut_material", args=[material.pk])
    first = desk.post(address, {**SAW, **parts(*rows), "look": ""})
    assert "This is a quick first plan" in first.content.decode()
    best = desk.post(address, dict(first.context["again"]) | {"thorough": "1"})
    assert "This is a quick first plan" not in best.content.decode()
    assert best.context["plan"].opened <= first.context["plan"].opened
    assert first.context["plan"].missing == best.context["plan"].missing


def test_few_blanks_get_the_best_plan_at_once(desk, board, blank):
    assert plan(desk, board, SIX).context["again"] is None


def test_a_plan_books_once(desk, board, blank):
    answer = plan(desk, board, SIX)
    book(desk, board, answer)
    again = book(desk, board, answer)
    assert again.status_code == 409
    assert "Make a new plan" in again.content.decode()
    assert Lot.objects.filter(material=blank).count() == 6


def test_a_plan_that_was_tampered_with_is_refused(desk, board, blank):
    address = reverse("cut_material", args=[board.material_id])
    answer = desk.post(address, {"book": "", "plan": "made:up:plan"})
    assert answer.status_code == 409
    assert not Lot.objects.filter(material=blank).exists()


def test_a_bar_gives_eight_parts_and_keeps_its_end(desk):
    # 1,000 mm / (110 + 3 kerf) = 8 pieces, 96 mm left: TRADE section 3D, common practice
    bar = stocked(KeptAs.LENGTH, 1000, price="22.00", unit="m")
    make_material("Tailpiece, brass", KeptAs.COUNT)
    row = {"material": "Tailpiece, brass", "length": "110", "count": "8"}
    saw = {**SAW, "trim": "0", "least_length": "90"}
    answer = plan(desk, bar.lots.get(), [row], saw)
    book(desk, bar.lots.get(), answer)
    bar.refresh_from_db()
    tailpiece = Material.objects.get(name="Tailpiece, brass")
    assert (bar.on_hand, tailpiece.on_hand) == (96, 8)
    assert bar.book_cost + tailpiece.book_cost == Decimal("22.00")


def test_bars_of_one_lot_are_cut_one_by_one(desk):
    bars = stocked(KeptAs.LENGTH, 3000, unit="m", pack=Decimal(1000))
    make_material("Rod", KeptAs.COUNT)
    row = {"material": "Rod", "length": "600", "count": "3"}
    answer = plan(desk, bars.lots.get(), [row], {**SAW, "trim": "0"})
    assert len(answer.context["cuts"]) == 3
    too_long = {"material": "Rod", "length": "1200", "count": "1"}
    answer = plan(desk, bars.lots.get(), [too_long], {**SAW, "trim": "0"})
    assert answer.context["plan"].missing == (("Rod", 1),)


def test_without_a_piece_named_promised_ones_are_left_alone(desk, blank):
    material, (first, second) = stocked_pieces(2)
    Piece.objects.update(length_mm=Decimal(2400), width_mm=Decimal(190), is_ready=True)
    ask = {"holder": "build:1", "holder_name": "x", "quantity": Decimal(1), "now": NOW}
    reserve_stock(material=material, lot=first, **ask)
    address = reverse("cut_material", args=[material.pk])
    answer = desk.post(address, {**SAW, **parts(*SIX), "look": ""})
    assert [job.lot for job, _ in answer.context["cuts"]] == [second]


@pytest.mark.parametrize(
    ("row", "status", "words"),
    [
        ({"length": ""}, 422, "This is needed: fill it in"),
        ({"length": "0"}, 422, "above 0"),
        ({"length": "long"}, 422, "is not a quantity"),
        ({"count": "0"}, 422, "has to be at least 1"),
        ({"count": "9999"}, 422, "can be 500 at the most"),
        ({"material": "Nothing"}, 422, "There is no material"),
        ({"length": "9000"}, 200, "Available stock is up to 2400 mm long and 190 mm wide."),
    ],
)
def test_what_can_t_be_cut_is_said(desk, board, blank, row, status, words):
    answer = plan(desk, board, [{**SIX[0], **row}])
    assert answer.status_code == status
    assert words in answer.content.decode()


def test_a_board_without_sizes_is_not_cut_by_plan(desk, blank):
    _, (lot,) = stocked_pieces(1)
    answer = plan(desk, lot, SIX)
    assert answer.status_code == 409
    assert "sizes recorded" in answer.content.decode()


def test_parts_with_and_without_a_width_do_not_mix(desk, board, blank):
    answer = plan(desk, board, [SIX[0], {**SIX[0], "width": ""}])
    assert answer.status_code == 409
    assert "Enter a width for every part" in answer.content.decode()


def test_one_more_part_keeps_what_was_typed(desk, board, blank):
    address = reverse("cut_material", args=[board.material_id])
    answer = desk.post(address, {**SAW, **parts(*SIX), "more": ""})
    assert "not right yet" not in answer.content.decode()
    assert len(answer.context["parts"].forms) == 2
    assert "620" in answer.content.decode()


@pytest.mark.parametrize(("kind", "left"), [("normal", "78.77"), ("abnormal", "65.64")])
def test_a_spoilt_blank_is_booked_as_the_maker_chooses(desk, board, blank, kind, left):
    book(desk, board, plan(desk, board, SIX))
    spoilt = Lot.objects.filter(material=blank, remaining_cost=Decimal("13.13")).first()
    desk.post(reverse("record_lost_part", args=[spoilt.number]), {"kind": kind, "why": "pin knot"})
    blank.refresh_from_db()
    assert (blank.on_hand, blank.book_cost) == (5, Decimal(left))


def test_a_cut_is_taken_back_within_ten_seconds_or_from_its_entry_later(desk, board, blank):
    answer = book(desk, board, plan(desk, board, SIX))
    (notice,) = answer.context["messages"]
    desk.post(notice.extra_tags)
    board.refresh_from_db()
    assert (board.remaining, board.remaining_cost) == (1, Decimal("97.78"))
    book(desk, board, plan(desk, board, SIX))
    cut = board.entries.order_by("pk").last()
    page = desk.get(reverse("entry", args=[cut.pk])).content.decode()
    assert "Reverse this cut" in page
    desk.post(reverse("reverse_entry", args=[cut.pk]), {"why": "wrong board"})
    blank.refresh_from_db()
    assert blank.on_hand == 0
    assert "wrong board" in desk.get(reverse("entry", args=[cut.pk])).content.decode()


def test_a_cut_of_which_a_blank_is_promised_stays_and_says_why(desk, board, blank):
    book(desk, board, plan(desk, board, SIX))
    one = Lot.objects.filter(material=blank).first()
    reserve_stock(
        material=blank, quantity=Decimal(1), lot=one, holder="build:1", holder_name="A", now=NOW
    )
    cut = board.entries.order_by("pk").last()
    answer = desk.post(reverse("reverse_entry", args=[cut.pk]), {"why": "wrong board"})
    assert answer.status_code == 409
    assert f"{one.number} is reserved for A" in answer.content.decode()


def test_the_plan_says_where_each_part_begins(desk, board, blank):
    ((_, picture),) = plan(desk, board, SIX).context["cuts"]
    by_place = {(box.name, box.at) for box in picture.boxes}
    # trimmed by 40 mm; blanks of 620 mm with 3 mm of saw between them
    starts = ("40", "663", "1286")
    assert by_place >= {("Neck blank, maple", f"{start}, 0") for start in starts}
    assert by_place >= {("Neck blank, maple", f"{start}, 83") for start in starts}
    assert {box.size for box in picture.boxes if box.kind == "remnant"} == {"451 × 190"}
