from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.units import BOARD_FOOT_MM3
from inventory.base.refusals import Refusal
from inventory.wood.calc.wood import (
    MeterCorrection,
    Size,
    corrected_moisture,
    density,
    equilibrium_moisture,
    movement_coefficient,
    shrinkage_to,
    size_change,
)

WEDGE_PAIR = Size(
    length=Decimal(430), width=Decimal(150), thickness=Decimal(25), thin_edge=Decimal(10), parts=2
)

# °F: "percent humidity:percent moisture", cells of table 4-2 of the Wood Handbook FPL-GTR-190,
# recalled from memory; each lies within 0.062 of equations 4-5, so 0.1 is the tolerance.
TABLE_4_2 = {
    30: "5:1.4 10:2.6 20:4.6 25:5.5 35:7.1 40:7.9 50:9.5 55:10.4 65:12.4 70:13.5 80:16.5 85:18.5",
    40: "5:1.4 15:3.7 20:4.6 30:6.3 35:7.1 45:8.7 50:9.5 60:11.3 65:12.3 75:14.9 80:16.5 90:21.0",
    50: "10:2.6 15:3.6 25:5.5 30:6.3 40:7.9 45:8.7 55:10.3 60:11.2 70:13.4 75:14.8 85:18.4 90:20.9",
    60: "5:1.3 10:2.5 20:4.6 25:5.4 35:7.0 40:7.8 50:9.4 55:10.2 65:12.1 70:13.3 80:16.2 95:24.1",
    70: "5:1.3 15:3.5 20:4.5 30:6.2 35:6.9 45:8.5 50:9.2 60:11.0 65:12.0 75:14.4 80:16.0 95:23.9",
    80: "10:2.4 15:3.5 25:5.3 30:6.1 40:7.6 45:8.3 55:9.9 60:10.8 70:12.9 75:14.2 85:17.7 90:20.2",
    90: "5:1.2 10:2.3 20:4.3 25:5.1 35:6.7 40:7.4 50:8.9 55:9.7 65:11.5 70:12.6 80:15.4 95:23.3",
    100: "5:1.2 15:3.3 20:4.2 30:5.8 35:6.5 45:7.9 50:8.7 60:10.3 65:11.2 75:13.6 80:15.1 95:22.9",
}
CELLS = [(f, *cell.split(":")) for f, row in TABLE_4_2.items() for cell in row.split()]
# Points printed elsewhere: a wood-science column (65 °F), an instrument maker's post (50, 95 °F).
POINTS = [(65, "60", "11.1"), (65, "30", "6.2"), (50, "44", "8.5"), (95, "44", "7.9")]


def celsius_of(fahrenheit):
    return (Decimal(fahrenheit) - 32) * 5 / 9


# Two wedges of 150 x 430 mm, mean thickness 17.5 mm: 2.2575 litres.
@pytest.mark.parametrize(
    ("grams", "kg_per_m3"),
    [
        ("868", "384.5"),
        ("842", "373.0"),
        ("905", "400.9"),
        ("801", "354.8"),
        ("930", "412.0"),
        ("877", "388.5"),
    ],
)
def test_density_of_wedge_pairs(grams, kg_per_m3):
    assert WEDGE_PAIR.volume == 2_257_500
    assert round(density(Decimal(grams), WEDGE_PAIR.volume), 1) == Decimal(kg_per_m3)


def test_a_board_is_23712_cubic_centimetres_or_ten_board_feet():
    board = Size(length=Decimal(2400), width=Decimal(190), thickness=Decimal(52))
    assert board.volume == 23_712_000
    assert round(board.volume / BOARD_FOOT_MM3, 2) == Decimal("10.05")


@pytest.mark.parametrize(("grams", "volume"), [("0", "10"), ("10", "0")])
def test_density_needs_mass_and_volume(grams, volume):
    with pytest.raises(Refusal, match="above 0"):
        density(Decimal(grams), Decimal(volume))


@pytest.mark.parametrize(("fahrenheit", "humidity", "printed"), [*CELLS, *POINTS])
def test_equilibrium_moisture_meets_the_printed_figure(fahrenheit, humidity, printed):
    computed = equilibrium_moisture(celsius_of(fahrenheit), Decimal(humidity))
    assert abs(computed - Decimal(printed)) <= Decimal("0.1")


# Computed from the same equations by an independent script.
@pytest.mark.parametrize(
    ("humidity", "moisture"), [("65", "11.996"), ("50", "9.271"), ("45", "8.485"), ("0", "0.000")]
)
def test_equilibrium_moisture_at_twenty_degrees(humidity, moisture):
    computed = equilibrium_moisture(Decimal(20), Decimal(humidity))
    assert round(computed, 3) == Decimal(moisture)


@pytest.mark.parametrize("humidity", ["-1", "101"])
def test_humidity_out_of_range_is_refused(humidity):
    with pytest.raises(Refusal, match="0 to 100"):
        equilibrium_moisture(Decimal(20), Decimal(humidity))


@given(celsius=st.integers(-1, 60), humidity=st.integers(0, 94))
def test_damper_air_means_damper_wood(celsius, humidity):
    drier = equilibrium_moisture(Decimal(celsius), Decimal(humidity))
    assert drier < equilibrium_moisture(Decimal(celsius), Decimal(humidity + 1))


# Shrinkage radial and tangential in percent, then the coefficients of the Wood Handbook's chapter
# 13 (GTR-190 table 13-5): recalled from memory; C_T of cherry, sugar maple and ash verified.
@pytest.mark.parametrize(
    ("radial", "tangential", "c_radial", "c_tangential"),
    [
        ("4.3", "7.5", "0.00148", "0.00263"),
        ("3.7", "7.1", "0.00126", "0.00248"),
        ("6.6", "9.3", "0.0023", "0.0033"),
        ("3.8", "7.1", "0.0013", "0.00248"),
        ("4.8", "9.9", "0.00165", "0.00353"),
        ("4.9", "7.8", "0.00169", "0.00274"),
        ("4.6", "8.2", "0.00158", "0.00289"),
    ],
    ids=[
        "Sitka spruce",
        "bigleaf maple, black cherry",
        "basswood",
        "Engelmann spruce",
        "sugar maple",
        "white ash",
        "yellow-poplar",
    ],
)
def test_movement_coefficients(radial, tangential, c_radial, c_tangential):
    for total, printed in ((radial, c_radial), (tangential, c_tangential)):
        assert round(movement_coefficient(Decimal(total)), 5) == Decimal(printed)


# dD = D x C x (M2 - M1), Wood Handbook chapter 13, with C from shrinkage as above. Redcedar is
# saturated at 22 %, so its C is 0.00234 and not 0.00172; of walnut only 30 to 8 % counts.
@pytest.mark.parametrize(
    ("size", "total", "was", "will_be", "saturation", "moves"),
    [
        ("300", "4.3", "9", "6", "30", "-1.33"),
        ("200", "5.0", "16", "8", "22", "-3.74"),
        ("200", "7.8", "45", "8", "30", "-12.07"),
        ("200", "7.8", "8", "45", "30", "12.07"),
        ("200", "7.8", "60", "45", "30", "0.00"),
        ("200", "5.0", "25", "8", "22", "-6.54"),
    ],
    ids=["Sitka top", "redcedar", "green walnut", "soaked", "above saturation", "green redcedar"],
)
def test_wood_moves_by_its_own_saturation(size, total, was, will_be, saturation, moves):
    change = size_change(*map(Decimal, (size, total, was, will_be, saturation)))
    assert round(change, 2) == Decimal(moves)


@pytest.mark.parametrize(
    ("moisture", "lost"), [("30", "0"), ("45", "0"), ("15", "3.75"), ("0", "7.5")]
)
def test_wood_shrinks_below_fibre_saturation_only(moisture, lost):
    assert shrinkage_to(Decimal("7.5"), Decimal(moisture)) == Decimal(lost)


def test_a_meter_without_a_sheet_is_taken_as_it_reads():
    assert corrected_moisture(Decimal("9.4"), MeterCorrection(), Decimal(31)) == Decimal("9.4")


# Coefficients invented for the test: every meter has its own sheet.
@pytest.mark.parametrize(
    ("celsius", "moisture"),
    [(None, "9.5"), ("20", "9.5"), ("30", "8.6"), ("10", "10.4")],
    ids=["not known", "as calibrated", "warm", "cold"],
)
def test_temperature_is_corrected_before_species(celsius, moisture):
    sheet = MeterCorrection(slope=Decimal("0.9"), offset=Decimal("0.5"), per_degree=Decimal("0.1"))
    known = None if celsius is None else Decimal(celsius)
    assert corrected_moisture(Decimal(10), sheet, known) == Decimal(moisture)


def test_moisture_never_falls_below_nothing():
    sheet = MeterCorrection(offset=Decimal(-5))
    assert corrected_moisture(Decimal(3), sheet) == 0
