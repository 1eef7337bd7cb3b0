from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.hours.calc.splitting import split_by_hand, split_by_likely, split_equally


def minutes(text):
    return int(Decimal(text) * 60)


# Walk-through W3: 75 minutes bending ribs for A and B are 37.5 each.
def test_time_shared_by_two_is_halved_to_the_second():
    assert split_equally(minutes("75"), 2) == [minutes("37.5"), minutes("37.5")]


def test_a_second_that_does_not_divide_goes_to_one_build():
    assert split_equally(100, 3) == [33, 34, 33]


def test_time_follows_the_likely_hours_of_the_stage():
    # TRADE table 2A and 2B, binding: 7 h on a mandolin, 9 h on a guitar.
    assert split_by_likely(minutes("160"), [Decimal(7), Decimal(9)]) == [
        minutes("70"),
        minutes("90"),
    ]


def test_a_build_without_likely_hours_gets_no_time():
    assert split_by_likely(600, [Decimal(0), Decimal("2.5")]) == [0, 600]


@pytest.mark.parametrize("likely", [[Decimal(0), Decimal(0)], [Decimal(-1), Decimal(2)], []])
def test_likely_hours_that_share_nothing_are_refused(likely):
    with pytest.raises(ValueError, match="weight"):
        split_by_likely(600, likely)


def test_a_split_by_hand_is_kept_as_given():
    assert split_by_hand(minutes("75"), [minutes("50"), minutes("25")]) == [3000, 1500]


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        (
            [3000, 1200],
            "The parts add up to 1:10 h, but the entry is 1:15 h: 0:05 h missing.",
        ),
        ([3000, 1800], "The parts add up to 1:20 h, but the entry is 1:15 h: 0:05 h too much."),
        (
            [3000, 1499],
            "The parts add up to 1:14 h and 59 s, but the entry is 1:15 h: 0:00 h and 1 s missing.",
        ),
        ([-60, 4560], "Enter 0 or more for each build."),
    ],
)
def test_a_split_by_hand_must_make_up_the_whole(parts, sentence):
    with pytest.raises(ValueError, match=r"build|parts") as refused:
        split_by_hand(minutes("75"), parts)
    assert str(refused.value) == sentence


@given(seconds=st.integers(0, 500_000), builds=st.integers(1, 12))
def test_equal_parts_add_up_and_differ_by_a_second_at_most(seconds, builds):
    parts = split_equally(seconds, builds)
    assert sum(parts) == seconds
    assert max(parts) - min(parts) <= 1


@given(
    seconds=st.integers(0, 500_000),
    likely=st.lists(st.decimals("0", "40", places=1), min_size=1, max_size=8).filter(any),
)
def test_parts_by_likely_hours_add_up_and_are_never_negative(seconds, likely):
    parts = split_by_likely(seconds, likely)
    assert sum(parts) == seconds
    assert min(parts) >= 0
