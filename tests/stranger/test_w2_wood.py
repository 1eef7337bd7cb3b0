"""The delivery, the weighings, the reject and the board of W2 by a stranger's program."""

from datetime import UTC, date, datetime, timedelta

import pytest

DAY = date(2027, 3, 9)
MASSES = ("868", "842", "905", "801", "930", "877")
WEDGES = {"length_mm": "430", "width_mm": "150", "thickness_mm": "17.5", "parts": 2}
BOARD = {"length_mm": "2400", "width_mm": "190", "thickness_mm": "52"}


@pytest.fixture
def wood(program, clock):
    """What came on 9 March: six spruce sets and a maple board, with their material's keys."""
    clock(datetime(2027, 3, 9, 10, tzinfo=UTC))
    family = program("families_create", name="Tonewoods").id
    spruce, maple, blank = (
        program(
            "materials_create",
            name=name,
            family=family,
            kept_as="piece",
            cost_method="actual",
            unit="ea",
        ).id
        for name in ("Sitka spruce top, carved", "Maple board, 52 mm", "Neck blank, maple")
    )
    sets = [WEDGES | {"mass_g": mass} for mass in MASSES]
    delivery = program(
        "deliveries_create",
        received_on=DAY,
        carriage="24.00",
        share_by="value",
        lines=[
            {"material": spruce, "quantity": "6", "price": "192.00", "pieces": sets},
            {"material": maple, "quantity": "1", "price": "90.11", "pieces": [BOARD]},
        ],
    )
    return delivery, {"spruce": spruce, "maple": maple, "blank": blank}


def costs(program, material):
    """What the pieces of a material that are on the shelf stand at, in order of their numbers."""
    lots = program("lots_list", material=material, on_shelf=True, page_size=200).results
    return [lot.remaining_cost for lot in lots]


def test_carriage_lands_on_the_lines_by_value(program, wood):
    delivery, keys = wood
    spruce, maple = delivery.lines
    assert (spruce.landed_cost, maple.landed_cost) == ("208.330", "97.780")
    assert sorted(costs(program, keys["spruce"])) == ["34.720"] * 5 + ["34.730"]
    assert [program("pieces_read", number).mass_g for number in spruce.lots] == [
        f"{mass}.000" for mass in MASSES
    ]


def test_a_set_is_ready_once_three_weekly_masses_agree(program, wood, clock):
    number = wood[0].lines[0].lots[0]
    told = []
    for week, grams in enumerate(("868.0", "861.5", "859.8", "858.9")):
        clock(datetime(2027, 3, 9, 10, tzinfo=UTC) + timedelta(weeks=week))
        told.append(program("pieces_weighings_add", number, grams=grams))
    assert [one.ready for one in told] == [False, False, False, True]
    assert "0.302 %" in told[-1].reason
    piece = program("pieces_read", number)
    assert (str(piece.state), piece.mass_g) == ("ready", "858.900")


def test_the_reject_goes_back_and_its_carriage_stays_on_the_five_kept(program, wood):
    delivery, keys = wood
    reject = delivery.lines[0].lots[MASSES.index("801")]
    program("lots_send_back", reject, quantity="1", credit="32.00", why="run-out")
    kept = program("materials_read", keys["spruce"])
    assert (kept.on_hand, kept.book_cost) == ("5.000", "176.330")
    assert costs(program, keys["spruce"]) == ["35.270", "35.260", "35.270", "35.260", "35.270"]
    assert str(program("pieces_read", reject).state) == "returned"


@pytest.fixture
def blanks(program, wood):
    """The numbers of the six neck blanks, and of the remnant, of the maple board."""
    delivery, keys = wood
    part = {"material": keys["blank"], "measure": "620", "length_mm": "620", "width_mm": "80"}
    rest = {"material": keys["maple"], "measure": "451", "length_mm": "451", "width_mm": "190"}
    thick = {"thickness_mm": "52"}
    made = program(
        "lots_cut",
        delivery.lines[1].lots[0],
        usable="2320",
        parts=[part | thick] * 6,
        remnants=[rest | thick],
        sure=True,
    )
    assert {lot.cut_from for lot in made} == {delivery.lines[1].lots[0]}
    *six, remnant = made
    return six, remnant


def test_the_board_is_cut_into_six_blanks_and_a_remnant_with_its_cost(program, wood, blanks):
    six, remnant = blanks
    assert remnant.remaining_cost == "19.010"
    assert sorted(lot.remaining_cost for lot in six) == ["13.120"] + ["13.130"] * 5
    assert program("pieces_read", remnant.number).length_mm == "451.000"
    assert str(program("pieces_read", wood[0].lines[1].lots[0]).state) == "used"


def test_a_pin_knot_as_normal_loss_falls_on_the_five_good_blanks(program, wood, blanks):
    program("lots_lose", blanks[0][0].number, kind="normal", why="pin knot")
    left = costs(program, wood[1]["blank"])
    assert left == ["15.750", "15.760", "15.750", "15.760", "15.750"]


def test_a_pin_knot_as_abnormal_loss_goes_to_scrap(program, wood, blanks):
    six, _ = blanks
    (entry,) = program("lots_lose", six[0].number, kind="abnormal", why="pin knot")
    assert entry.cost == f"-{six[0].remaining_cost}"
    assert costs(program, wood[1]["blank"]) == [lot.remaining_cost for lot in six[1:]]
