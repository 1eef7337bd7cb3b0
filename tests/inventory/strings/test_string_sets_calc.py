from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.strings.calc.string_sets import PlannedString, pull_of, read_gauge, read_unit_weight

CHART_GRAVITY = 386.4 / (9.80665 / 0.0254)

# A guitar set of 25.5 inch: gauge, unit weight in lb/in of a published string-tension chart, note,
# pounds as printed on such sets (the unit weights were read, the printed pounds are from memory).
GUITAR = [
    ("10", "0.00002215", "E4", 16.2),
    ("13", "0.00003744", "B3", 15.4),
    ("17", "0.00006402", "G3", 16.6),
    ("26", "0.00012671", "D3", 18.4),
    ("36", "0.00023964", "A2", 19.5),
    ("46", "0.00038216", "E2", 17.5),
]

# Plain steel pairs of a mandolin at 350 mm, in N: computed with 7850 kg/m³ and T = 4 m L² f².
PLAIN = [("10", "E5", 84.7), ("14", "A4", 74.0)]


def planned(gauge, pitch, count=1, weight=None):
    weight = None if weight is None else read_unit_weight(f"{weight} lb/in")
    return PlannedString(pitch=pitch, gauge=Decimal(gauge), count=count, grams_per_metre=weight)


def test_a_guitar_set_pulls_as_the_published_chart_has_it():
    strings = [planned(gauge, note, weight=weight) for gauge, weight, note, _ in GUITAR]
    pull = pull_of(strings, Decimal("647.7"))
    charted = [one.pounds / CHART_GRAVITY for one in pull.strings]
    assert charted == pytest.approx([row[3] for row in GUITAR], abs=0.05)
    assert pull.pounds == pytest.approx(sum(row[3] for row in GUITAR), abs=0.2)


def test_a_pair_pulls_twice_and_the_set_is_the_sum():
    pull = pull_of([planned(gauge, note, 2) for gauge, note, _ in PLAIN], Decimal(350))
    assert [one.newtons for one in pull.strings] == pytest.approx([84.7, 74.0], abs=0.05)
    assert pull.newtons == pytest.approx(2 * (84.7 + 74.0), abs=0.2)
    assert (pull.count, pull.strongest) == (4, pull.strings[0].newtons)


def test_only_plain_steel_tells_its_stress():
    plain, wound = pull_of(
        [planned("10", "E5"), planned("36", "G3", weight="0.00023964")], Decimal(420)
    ).strings
    assert (plain.may_break, wound.stress) == (True, None)


@pytest.mark.parametrize(
    ("typed", "thousandths"),
    [("10", "10"), (".010", "10"), ("0,0105", "10.5"), ("0.254 mm", "10"), ("0.036 in", "36")],
)
def test_gauges_are_read_as_they_are_written(typed, thousandths):
    assert read_gauge(typed) == Decimal(thousandths)


@pytest.mark.parametrize("typed", ["", "thin", "0.5", "2", "10 lb", "300"])
def test_what_is_no_gauge_is_said(typed):
    with pytest.raises(Refusal):
        read_gauge(typed)


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("6.8246", "6.8246"),
        ("6,8246 g/m", "6.8246"),
        ("0.00038216 lb/in", "6.82460"),
        ("3.8216e-4 lb/in", "6.82460"),
        ("0.0068246 kg/m", "6.8246"),
    ],
)
def test_unit_weights_are_read_in_either_unit(typed, grams):
    """1 lb/in is 453.59237 g over 25.4 mm (NIST SP 811, appendix B)."""
    assert read_unit_weight(typed) == Decimal(grams)


@pytest.mark.parametrize("typed", ["", "heavy", "0", "6.8 g", "20000", "0.3 lb/in"])
def test_what_is_no_weight_of_a_string_is_said(typed):
    with pytest.raises(Refusal):
        read_unit_weight(typed)


def test_a_pitch_that_is_none_is_said():
    with pytest.raises(Refusal, match="is not a note"):
        pull_of([planned("10", "H5")], Decimal(350))
