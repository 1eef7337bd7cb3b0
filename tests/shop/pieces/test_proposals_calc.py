from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pieces.calc import ShelfPiece, Sought, is_of_wood, propose_pieces

OLD, NEW, ON = date(2021, 3, 2), date(2026, 9, 14), date(2027, 3, 9)
TOP = Sought(wood="spruce", length_mm=Decimal(420), width_mm=Decimal(150), parts=2)


def piece(number, length=None, *, is_ready=True, since=OLD, **fields):
    return ShelfPiece(
        key=int(number[2:]),
        number=number,
        is_ready=is_ready,
        age_from=since,
        length_mm=None if length is None else Decimal(length),
        **fields,
    )


def top(number, length=432, width=150, **fields):
    fields = {"species": "Sitka spruce, Picea sitchensis", "parts": 2} | fields
    return piece(number, length, width_mm=Decimal(width), **fields)


def choose(pieces, wanted=1, sought=TOP, **fields):
    return propose_pieces(pieces, wanted, sought=sought, on=ON, **fields)


def numbers(proposals):
    return [one.piece.number for one in proposals]


@pytest.mark.parametrize(
    ("pieces", "least", "expected"),
    [
        ([piece("T-1", since=NEW), piece("T-2")], None, ["T-2", "T-1"]),
        ([piece("T-1", is_ready=False), piece("T-2", since=NEW)], None, ["T-2", "T-1"]),
        ([piece("T-1", 600), piece("T-2", 640)], 620, ["T-2"]),
        ([piece("T-1"), piece("T-2", 640, since=NEW)], 620, ["T-2", "T-1"]),
        ([piece("T-2"), piece("T-1")], None, ["T-1", "T-2"]),
        ([], None, []),
    ],
    ids=["oldest", "ready", "long enough", "measured", "number decides last", "empty shelf"],
)
def test_pieces_are_proposed_in_order(pieces, least, expected):
    sought = Sought(length_mm=None if least is None else Decimal(least))
    assert numbers(choose(pieces, 5, sought).proposed) == expected


def test_what_is_beyond_the_number_wanted_still_stands_among_the_others():
    choice = choose([top("T-1"), top("T-2"), top("T-3")], 2)
    assert (numbers(choice.proposed), numbers(choice.others)) == (["T-1", "T-2"], ["T-3"])


def test_the_dearest_may_come_first():
    pieces = [top("T-1", cost=Decimal(32)), top("T-2", since=NEW, cost=Decimal(110))]
    [dear] = choose(pieces, first="dearest").proposed
    assert dear.piece.number == "T-2"
    assert dear.reason.endswith("dearest of two")


@pytest.mark.parametrize(
    ("one", "reason"),
    [
        (
            top("T-1", ready_since=date(2027, 1, 5)),
            "fits exactly in width, ready since 5 January",
        ),
        (top("T-1", ready_since=OLD), "fits exactly in width, ready since 2 March 2021"),
        (top("T-1", 432, 162), "fits with 12 mm to spare in length, ready"),
        (top("T-1", 460, 162.5), "fits with 12.5 mm to spare in width, ready"),
        (top("T-1", None, 150), "length not recorded, ready"),
        (top("T-1", species="", called="Lid"), "wood not recorded, ready"),
        (top("T-1", is_ready=False), "fits exactly in width, still drying"),
        (
            top("T-1", is_ready=False, ready_about=date(2027, 8, 12)),
            "fits exactly in width, not ready until about 12 August",
        ),
    ],
)
def test_the_reason_says_how_it_fits_and_since_when_it_is_ready(one, reason):
    [proposal] = choose([one]).proposed
    assert proposal.reason == f"{reason}, the only one"


@pytest.mark.parametrize(
    ("one", "why_not"),
    [
        (top("T-1", 412), "too short by 8 mm"),
        (top("T-1", 412, 149.5), "too short by 8 mm and too narrow by 0.5 mm"),
        (
            top("T-1", species="Sugar (hard) maple, Acer saccharum"),
            "Sugar (hard) maple, not spruce",
        ),
        (top("T-1", taken_by="24-03 Octave mandolin"), "reserved for 24-03 Octave mandolin"),
        (top("T-1", unfit="downgraded"), "downgraded"),
    ],
)
def test_what_is_passed_over_says_why(one, why_not):
    choice = choose([one, top("T-2")])
    assert [(each.piece.number, each.reason) for each in choice.passed_over] == [("T-1", why_not)]
    assert numbers(choice.proposed) == ["T-2"]


def test_a_piece_stands_by_its_age_among_those_that_are_as_ready():
    pieces = [
        top("T-1", since=date(2022, 1, 1)),
        top("T-2", since=date(2023, 1, 1)),
        top("T-3", since=date(2023, 1, 1)),
        top("T-4", since=OLD, is_ready=False),
    ]
    reasons = [one.reason.rsplit(", ", 1)[1] for one in choose(pieces, 4).proposed]
    assert reasons == [
        "oldest of three",
        "one of the second oldest of three",
        "one of the second oldest of three",
        "the only one",
    ]


def test_pieces_of_one_delivery_are_told_as_such():
    [proposal] = choose([top("T-1"), top("T-2")]).proposed
    assert proposal.reason == "fits exactly in width, ready, one of two from one delivery"


@pytest.mark.parametrize(
    ("wood", "text", "expected"),
    [
        ("spruce", "Sitka spruce, Picea sitchensis", True),
        ("Sitka spruce", "Red (Adirondack) spruce, Picea rubens", False),
        ("Picea", "Engelmann spruce, Picea engelmannii", True),
        ("spruce, cedar", "Western redcedar, Thuja plicata", True),
        ("maple, sycamore", "European sycamore (maple), Acer pseudoplatanus", True),
        ("elm", "Engelmann spruce, Picea engelmannii", False),
        ("ash", "African mahogany, Khaya spp.", False),
        (",", "Koa", False),
    ],
)
def test_a_kind_of_wood_is_found_in_either_name(wood, text, expected):
    assert is_of_wood(wood, text) is expected


def test_a_set_with_parts_missing_is_passed_over_but_one_part_may_be_uncounted_or_split():
    four = Sought(parts=4)
    choice = choose([top("T-1", parts=2), top("T-2", parts=1), top("T-3", parts=4)], 2, four)
    assert numbers(choice.proposed) == ["T-3", "T-2"]
    assert choice.proposed[1].reason.startswith("parts not recorded")
    assert [one.reason for one in choice.passed_over] == ["two of four parts"]


def test_what_is_sought_is_told_in_words():
    assert TOP.words == "spruce, at least 420 mm long, 150 mm wide, two parts"
    assert Sought(wood="maple").words == "maple"


pieces_of_any_sort = st.builds(
    top,
    st.integers(1, 10**6).map(lambda number: f"T-{number}"),
    st.none() | st.integers(380, 460),
    st.integers(140, 160),
    is_ready=st.booleans(),
    since=st.dates(OLD, ON),
    cost=st.integers(0, 300).map(Decimal),
    taken_by=st.sampled_from(["", "", "24-03"]),
)


@given(
    pieces=st.lists(pieces_of_any_sort, max_size=12, unique_by=lambda one: one.key),
    wanted=st.integers(-1, 5),
    first=st.sampled_from(["oldest", "dearest"]),
)
def test_every_piece_stands_in_one_list_with_a_reason(pieces, wanted, first):
    choice = choose(pieces, wanted, first=first)
    found = [*choice.proposed, *choice.others, *choice.passed_over]
    assert sorted(numbers(found)) == sorted(one.number for one in pieces)
    assert all(one.reason for one in found)
    assert len(choice.proposed) == min(max(wanted, 0), len(found) - len(choice.passed_over))
    free = [*choice.proposed, *choice.others]
    assert all(not one.piece.taken_by for one in free)
    readiness = [one.piece.is_ready for one in free]
    assert readiness == sorted(readiness, reverse=True)
