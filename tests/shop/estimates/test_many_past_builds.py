"""Of thousands of past builds the weightiest are shown, and what is left out is counted."""

import pytest

from shop.estimates.queries.sheet import WEIGHTIEST, Behind, StageSheet


def sheet_of(weights):
    behind = [
        Behind(
            build=None,
            hours=1,
            weight=weight,
            is_related=False,
            build_stages=(),
            aside_by="",
            far_off=False,
        )
        for weight in weights
    ]
    return StageSheet(
        stage=None,
        figures=None,
        hours=None,
        whose="",
        past_weight=1,
        template_weight=1,
        effects=(),
        chance=1,
        behind=tuple(behind),
    )


@pytest.mark.parametrize("count", [0, 1, WEIGHTIEST])
def test_a_few_past_builds_are_all_shown(count):
    sheet = sheet_of([0.5] * count)
    assert (sheet.weightiest, sheet.left_out) == (sheet.behind, 0)


def test_of_many_the_weightiest_are_shown_in_their_order():
    sheet = sheet_of([0.1, 0.9] * WEIGHTIEST)
    assert [one.weight for one in sheet.weightiest] == [0.9] * WEIGHTIEST
    assert sheet.left_out == WEIGHTIEST


def test_of_equally_heavy_ones_the_first_in_order_are_shown():
    sheet = sheet_of([0.5] * 50)
    assert sheet.weightiest == sheet.behind[:WEIGHTIEST]
