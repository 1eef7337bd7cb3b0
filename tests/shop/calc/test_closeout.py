from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.calc.closeout import KeptHours, StageHours, close_out_stage


def hours(*figures, kept=True):
    return [
        KeptHours(build=f"build {number}", hours=Decimal(figure), kept=kept)
        for number, figure in enumerate(figures)
    ]


def stage(key="binding", quoted="7", actual="9.5", earlier=(), kept=True):
    return StageHours(
        key=key, quoted=Decimal(quoted), actual=Decimal(actual), earlier=earlier, kept=kept
    )


def test_quoted_and_actual_stand_side_by_side():
    closed = close_out_stage(stage())
    assert (closed.quoted, closed.actual, closed.difference) == (7, Decimal("9.5"), Decimal("2.5"))
    assert round(closed.difference_part, 3) == Decimal("0.357")


def test_a_stage_that_was_not_quoted_has_no_part_of_it():
    assert close_out_stage(stage(quoted="0")).difference_part is None


def test_the_next_hours_are_the_median_of_what_is_kept():
    closed = close_out_stage(stage(earlier=hours("7.5", "8", "7")))
    assert closed.suggested == Decimal("7.75")
    assert closed.counted == 4
    assert closed.words == "the median of 4 builds"


def test_a_build_set_aside_is_shown_but_moves_nothing():
    cracked = hours("30", kept=False)
    closed = close_out_stage(stage(earlier=[*cracked, *hours("8", "7")]))
    assert closed.suggested == Decimal("8")
    assert closed.counted == 3
    assert closed.last[0].hours == 30


def test_this_build_may_be_set_aside_too():
    closed = close_out_stage(stage(actual="30", earlier=hours("8", "7", "7.5"), kept=False))
    assert closed.suggested == Decimal("7.5")


@pytest.mark.parametrize(
    ("earlier", "kept", "words"),
    [
        ([], False, "no build is kept; a suggestion needs 3"),
        ([], True, "only one build is kept; a suggestion needs 3"),
        (hours("8"), True, "only 2 builds are kept; a suggestion needs 3"),
    ],
)
def test_under_three_builds_nothing_is_suggested(earlier, kept, words):
    closed = close_out_stage(stage(earlier=earlier, kept=kept))
    assert (closed.suggested, closed.words) == (None, words)


def test_only_the_last_three_builds_are_shown():
    closed = close_out_stage(stage(earlier=hours("8", "7", "6", "5")))
    assert [one.hours for one in closed.last] == [8, 7, 6]
    assert closed.counted == 5


@given(st.lists(st.decimals("0.1", "60", places=2), min_size=2, max_size=12))
def test_half_of_the_kept_builds_lie_on_either_side_of_the_suggestion(figures):
    closed = close_out_stage(stage(earlier=hours(*figures)))
    everything = [*figures, Decimal("9.5")]
    under = sum(one < closed.suggested for one in everything)
    over = sum(one > closed.suggested for one in everything)
    assert max(under, over) <= len(everything) / 2
