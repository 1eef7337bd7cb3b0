import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from shop.patterns.calc import check_choices, on_as_a_rule, switched, with_missing

ONE_OF = {"brass": "Tailpiece", "cast": "Tailpiece", "hard": "Case", "bag": "Case"}
NAMES = [*ONE_OF, "binding"]


@pytest.mark.parametrize(
    ("on", "taken"),
    [
        (set(), ["brass", "hard"]),
        ({"cast"}, ["cast", "hard"]),
        ({"brass", "cast", "bag", "binding"}, ["brass", "bag", "binding"]),
    ],
    ids=["none on", "one on", "two on"],
)
def test_of_a_choice_one_is_on_as_a_rule(on, taken):
    assert on_as_a_rule((name, name in on, ONE_OF.get(name, "")) for name in NAMES) == taken


@pytest.mark.parametrize("on", [["hard"], ["brass", "cast", "hard"]], ids=["none", "two"])
def test_none_or_two_of_a_choice_are_refused_in_words(on):
    with pytest.raises(Refusal) as refused:
        check_choices(on, ONE_OF)
    assert refused.value.sentence == "Tailpiece: choose exactly one of “brass” or “cast”."
    assert refused.value.field == "options"


def test_a_choice_left_open_takes_the_usual_one():
    assert with_missing(["cast"], ONE_OF, ["brass", "bag", "binding"]) == ["cast", "bag"]


@given(st.lists(st.sampled_from(NAMES), max_size=8))
def test_exactly_one_stays_on_whatever_is_taken_in_turn(names):
    on = ["brass", "hard"]
    for name in names:
        if name not in on or name not in ONE_OF:
            on = switched(on, name, ONE_OF)
        check_choices(on, ONE_OF)
