from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from inventory.kits.calc import makeable
from inventory.strings.calc.strings import hertz_of, plain_string, tension

POUND_PER_INCH = 0.45359237 / 0.0254
NEWTONS_PER_POUND = 4.4482216152605
CHART_GRAVITY = 386.4 / (9.80665 / 0.0254)
CHART_DENSITY = 7807.0

# Equal temperament from A4 = 440 Hz (ISO 16), computed.
PITCHES = {
    "E1": 41.203445,
    "C2": 65.406391,
    "F#2": 92.498606,
    "G3": 195.997718,
    "D4": 293.664768,
    "A4": 440.0,
    "C#4": 277.182631,
    "E5": 659.255114,
    "G#5": 830.609395,
    "C7": 2093.004522,
    "Bb3": 233.081881,
    "Cb4": 246.941651,
}

# Unit weights in lb/in of a published string-tension chart, scale in inches, note, published or
# computed pounds. The chart's formula divides by 386.4 in/s², a little over standard gravity.
# Guitar: printed set tensions (the first verified, the others from memory).
CHART = [
    (0.00001418, 25.5, "E4", 10.371),
    (0.00002215, 25.5, "E4", 16.2),
    (0.00003744, 25.5, "B3", 15.368),
    (0.00006402, 25.5, "G3", 16.555),
    (0.00012671, 25.5, "D3", 18.389),
    (0.00023964, 25.5, "A2", 19.519),
    (0.00038216, 25.5, "E2", 17.469),
    (0.00002680, 13.875, "E5", 23.213),
    (0.00004342, 13.875, "A4", 16.753),
    (0.00012671, 13.875, "D4", 21.777),
    (0.00023964, 13.875, "G3", 18.346),
]

# Plain steel in lb/in from the same chart, which is 0.5 to 0.6 % under 7850 kg/m³.
PLAIN_WEIGHTS = {
    0.007: 0.00001085,
    0.009: 0.00001794,
    0.010: 0.00002215,
    0.012: 0.00003190,
    0.014: 0.00004342,
    0.017: 0.00006402,
    0.020: 0.00008861,
    0.026: 0.00014975,
}


@pytest.mark.parametrize(("note", "hertz"), PITCHES.items())
def test_notes_have_their_pitch(note, hertz):
    assert hertz_of(note) == pytest.approx(hertz, abs=1e-6)


@pytest.mark.parametrize("note", ["", "H4", "E", "E##4", "4E"])
def test_what_is_no_note_is_refused(note):
    with pytest.raises(Refusal, match="is not a note"):
        hertz_of(note)


@pytest.mark.parametrize(("weight", "scale", "note", "pounds"), CHART)
def test_tension_of_a_known_unit_weight(weight, scale, note, pounds):
    newtons = tension(weight * POUND_PER_INCH, scale * 25.4, hertz_of(note))
    charted = newtons / NEWTONS_PER_POUND / CHART_GRAVITY
    assert charted == pytest.approx(pounds, rel=5e-5)


# Computed with 7850 kg/m³ and T = 4 m L² f²; 1672 MPa is the stress in the first.
@pytest.mark.parametrize(
    ("gauge", "scale", "note", "newtons"),
    [
        (0.010, 350, "E5", 84.7),
        (0.011, 350, "E5", 102.5),
        (0.014, 350, "A4", 74.0),
        (0.015, 350, "A4", 84.9),
        (0.012, 520, "E4", 67.3),
    ],
)
def test_tension_of_plain_steel(gauge, scale, note, newtons):
    assert plain_string(gauge, scale, hertz_of(note)).newtons == pytest.approx(newtons, abs=0.05)


@pytest.mark.parametrize(("gauge", "weight"), PLAIN_WEIGHTS.items())
def test_plain_steel_agrees_with_the_chart_but_for_its_density(gauge, weight):
    charted = tension(weight * POUND_PER_INCH, 350, 440.0)
    assert plain_string(gauge, 350, 440.0).newtons / charted - 1 == pytest.approx(0.0055, abs=6e-4)
    same = plain_string(gauge, 350, 440.0, CHART_DENSITY).newtons
    assert same == pytest.approx(charted, rel=6e-4)


def test_stress_tells_when_wire_may_break():
    at_350 = plain_string(0.010, 350, hertz_of("E5"))
    assert at_350.stress == pytest.approx(1672, abs=1)
    assert not at_350.may_break
    assert plain_string(0.010, 420, hertz_of("E5")).may_break


def test_stress_does_not_hang_on_the_gauge():
    thin, thick = (plain_string(gauge, 350, 440.0).stress for gauge in (0.008, 0.017))
    assert thin == pytest.approx(thick)


def test_a_string_without_a_size_is_refused():
    with pytest.raises(Refusal, match="above 0"):
        plain_string(0.0, 350, 440.0)


def test_sets_still_makeable_after_five_and_a_break():
    recipe = {gauge: Decimal(2) for gauge in ("010", "014", "024", "036")}
    free = {"010": Decimal(13), "014": Decimal(14), "024": Decimal(14), "036": Decimal(14)}
    sets = makeable(recipe, free)
    assert (sets.count, sets.limited_by) == (6, ("010",))
    assert sets.allowed == (("010", 6), ("014", 7), ("024", 7), ("036", 7))


def test_what_is_not_there_makes_nothing():
    sets = makeable({"pot": Decimal(2), "jack": Decimal(1)}, {"jack": Decimal(-1)})
    assert (sets.count, sets.limited_by) == (0, ("pot", "jack"))


@pytest.mark.parametrize("recipe", [{}, {"pot": Decimal(0)}])
def test_a_recipe_takes_something(recipe):
    with pytest.raises(ValueError, match="kit needs at least one part"):
        makeable(recipe, {})


@given(
    recipe=st.dictionaries(st.sampled_from("abcd"), st.integers(1, 5).map(Decimal), min_size=1),
    free=st.dictionaries(st.sampled_from("abcd"), st.integers(-5, 60).map(Decimal)),
)
def test_as_many_are_makeable_as_the_parts_allow_and_no_more(recipe, free):
    sets = makeable(recipe, free)
    assert all(max(free.get(p, 0), 0) >= sets.count * need for p, need in recipe.items())
    assert all(free.get(p, 0) < (sets.count + 1) * recipe[p] for p in sets.limited_by)
