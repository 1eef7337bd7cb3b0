from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.units import round_quantity
from shop.builds.calc import MEASURES, TARGETS, from_thousandths, kind_named_in, thousandths
from shop.models import Measure


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("Carved-top mandolin", "mandolin"),
        ("Chambered electric mandolin", "electric mandolin"),
        ("Octave Mandolin for Lune", "octave mandolin"),
        ("Mandocello", "mandocello"),
        ("Electric guitar", "electric guitar"),
        ("Flat-top guitar", "flat-top guitar"),
        ("Tenor guitar, oak", "flat-top guitar"),
        ("Hurdy-gurdy", ""),
    ],
)
def test_the_kind_is_told_from_the_title(words, kind):
    assert kind_named_in(words) == kind


def test_every_kind_has_a_target_for_every_measure_in_order():
    assert set(MEASURES) == set(Measure.values)
    for aims in TARGETS.values():
        assert set(aims) == set(MEASURES)
        assert all(aim.low < aim.high for aim in aims.values())


@pytest.mark.parametrize(
    ("kind", "measure", "words"),
    # Common practice, no source: the maker's table of set-up figures.
    [
        ("mandolin", "action_treble", "1.2 to 1.6"),
        ("octave mandolin", "relief", "0.10 to 0.20"),
        ("mandocello", "intonation_bass", "± 4"),
        ("flat-top guitar", "nut_width", "43 to 46"),
        ("electric mandolin", "open_gap", "0.25 to 0.4"),
        ("electric guitar", "scale", "628 to 648"),
    ],
)
def test_targets_are_those_of_the_table(kind, measure, words):
    assert str(TARGETS[kind][measure]) == words


def test_both_ends_lie_within():
    aim = TARGETS["mandolin"]["relief"]
    assert [aim.holds(Decimal(v)) for v in ("0.049", "0.05", "0.15", "0.151")] == [
        False,
        True,
        True,
        False,
    ]


def test_an_inch_is_a_thousand_thousandths():
    assert thousandths(Decimal("25.4")) == 1000
    assert from_thousandths(Decimal(5)) == Decimal("0.127")


@given(st.decimals("0", "500", places=1))
def test_a_tenth_of_a_thousandth_survives_being_kept_in_mm(value):
    kept = round_quantity(from_thousandths(value))
    assert abs(thousandths(kept) - value) <= Decimal("0.02")
