from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from inventory.strings.calc.fretwire import Fingerboard, fret_position, frets_of, wire_length


def board(scale, frets, nut, last, **fields):
    return Fingerboard(
        scale=Decimal(scale),
        frets=frets,
        nut_width=Decimal(nut),
        last_fret_width=Decimal(last),
        **fields,
    )


# d = L (1 - 2^(-n/12)), the formula of equal temperament; figures computed to 0.1 micrometre.
@pytest.mark.parametrize(
    ("scale", "number", "from_nut", "from_last"),
    [
        ("350", 1, "19.6440", "19.6440"),
        ("350", 5, "87.7963", "15.5914"),
        ("350", 17, "218.8981", "7.7957"),
        ("350", 22, "251.7846", "5.8402"),
        ("352.425", 7, "117.2095", "13.9866"),
        ("352.425", 12, "176.2125", "10.4781"),
        ("352.425", 24, "264.3188", "5.2391"),
        ("648", 3, "103.0991", "32.4015"),
        ("648", 12, "324.0000", "19.2660"),
        ("648", 20, "443.8928", "12.1368"),
        ("645.16", 1, "36.2100", "36.2100"),
        ("645.16", 22, "464.1181", "10.7653"),
    ],
)
def test_frets_lie_where_equal_temperament_puts_them(scale, number, from_nut, from_last):
    fret = frets_of(board(scale, number, "29", "42"))[-1]
    step = Decimal("0.0001")
    assert fret.from_nut.quantize(step) == Decimal(from_nut)
    assert fret.from_last.quantize(step) == Decimal(from_last)


def test_each_fret_takes_the_same_share_of_what_remains():
    # 17.817154: the published divisor of the remaining length, 1 / (1 - 2^(-1/12)).
    assert round(Decimal(1000) / fret_position(Decimal(1000), 1), 6) == Decimal("17.817154")


# Total wire with 3 mm of overhang on each side, as common practice has it (no source); the widths
# at the last fret are taken here so that they are usual for such an instrument.
@pytest.mark.parametrize(
    ("geometry", "metres"),
    [
        (("352", 22, "28.6", "41"), "0.93"),
        (("350", 24, "29", "43"), "1.05"),
        (("530", 20, "34", "44"), "0.92"),
        (("645", 20, "44", "56"), "1.15"),
        (("640", 22, "42.5", "56.5"), "1.26"),
    ],
    ids=["mandolin", "electric mandolin", "octave mandolin", "flat-top guitar", "electric guitar"],
)
def test_wire_of_usual_instruments(geometry, metres):
    assert round(wire_length(board(*geometry)) / 1000, 2) == Decimal(metres)


def test_wire_spans_the_board_at_its_fret_and_hangs_over_both_sides():
    frets = frets_of(board("350", 12, "28", "40", overhang=Decimal(2)))
    assert frets[-1].wire == 44
    halfway = fret_position(Decimal(350), 5)
    assert frets[4].wire == 28 + 12 * halfway / 175 + 4


@pytest.mark.parametrize(
    ("geometry", "sentence"),
    [
        (("0", 22, "28", "40"), "scale above 0"),
        (("350", 0, "28", "40"), "at least one fret"),
        (("350", 22, "0", "40"), "Widths must be above 0"),
    ],
)
def test_a_board_that_can_not_be_is_refused(geometry, sentence):
    with pytest.raises(Refusal, match=sentence):
        board(*geometry)


@given(
    scale=st.integers(200, 900),
    frets=st.integers(1, 30),
    nut=st.integers(25, 60),
    wider=st.integers(0, 20),
    overhang=st.integers(0, 6),
)
def test_frets_close_up_and_add_up(scale, frets, nut, wider, overhang):
    made = board(scale, frets, nut, nut + wider, overhang=Decimal(overhang))
    rows = frets_of(made)
    assert wire_length(made) == sum(fret.wire for fret in rows)
    assert all(a.from_last > b.from_last for a, b in pairwise(rows))
    assert all(a.wire <= b.wire for a, b in pairwise(rows))
    assert round(sum(fret.from_last for fret in rows), 20) == round(rows[-1].from_nut, 20)
    assert rows[0].wire >= nut + 2 * overhang
