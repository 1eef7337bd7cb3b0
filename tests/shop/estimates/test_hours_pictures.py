"""Each picture of hours shows its figures where they belong, on a desk and on a phone."""

import pytest

from shop.estimates.calc.backtest import Calibration
from shop.estimates.calc.learning import fit_learning, unit_factor
from shop.estimates.calc.ranges import stage_range
from shop.estimates.pictures.calibration import calibration_picture
from shop.estimates.pictures.learning import NumberedHours, learning_picture
from shop.estimates.pictures.planned_actual import StagePair, difference, planned_actual
from shop.estimates.pictures.stage_ranges import PastDot, StageRow, stage_ranges
from shop.hours.pictures import HoursInto, MonthHours, hours_by_month, hours_into
from tests.shop.drawn import check_picture, found, texts

LONG = "Carve and graduate top, sound holes, tone bars, and then some more of it"


def row(name="Carve top", past=()):
    return StageRow(name=name, hours=stage_range(2.6, 0.3, 8), past=past)


def dot(hours, weight=1.0, counted=True):
    return PastDot(build="2024-01", hours=hours, weight=weight, counted=counted)


def test_a_stage_has_its_median_between_the_ends_of_its_band():
    picture = stage_ranges([row()])
    check_picture(picture)
    for sheet in (picture.wide, picture.narrow):
        (band,), (stroke,) = found(sheet, "rect", "band"), found(sheet, "line", "line-1")
        (whisker,) = found(sheet, "line", "axis")
        assert whisker["x1"] < band["x"] < stroke["x1"] < band["x"] + band["width"] < whisker["x2"]
    assert "13:30 h" in texts(picture.wide)


def test_past_builds_are_dots_smaller_where_they_count_less_hollow_where_set_aside():
    picture = stage_ranges([row(past=[dot(10), dot(12, 0.25), dot(60, 0, counted=False)])])
    check_picture(picture)
    full, (hollow,) = (found(picture.wide, "circle", look) for look in ("fill-2", "fill-sheet"))
    assert full[0]["cx"] < full[1]["cx"] < hollow["cx"]
    assert full[0]["r"] == pytest.approx(2 * full[1]["r"], abs=0.11)
    assert "3 figures of past builds" in picture.says


def test_long_names_are_cut_on_the_desk():
    picture = stage_ranges([row(LONG)])
    assert texts(picture.wide)[-2].endswith("…")
    check_picture(picture)


def test_hours_past_the_quoted_figure_are_drawn_apart():
    pairs = [
        StagePair(name="Carve top", quoted=14, actual=21),
        StagePair(name="Carve neck", quoted=3, actual=2),
        StagePair(name="Pickguard", quoted=0, actual=2),
    ]
    picture = planned_actual(pairs)
    check_picture(picture)
    within, past = (found(picture.wide, "rect", look) for look in ("fill-3", "fill-1"))
    assert past[1]["width"] == pytest.approx(within[1]["width"] / 2, abs=0.2)
    assert len(past) == 3  # the key, the top, and what was not quoted
    assert len(found(picture.wide, "line", "line-1")) == 2
    assert {"+7:00 h", "−1:00 h", "+2:00 h"} <= set(texts(picture.wide))
    assert picture.says == "17:00 h quoted, 25:00 h worked, by stage."


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0.004, "0:00 h"), (-0.004, "0:00 h"), (0.25, "+0:15 h"), (-2, "−2:00 h")],
)
def test_a_difference_has_its_sign(hours, words):
    assert difference(hours) == words


def numbered(number, hours, counted=True):
    return NumberedHours(number=number, hours=hours, build=f"{number}", counted=counted)


def test_the_curve_runs_through_the_builds():
    hours = [(number, 120 * unit_factor(0.9, number)) for number in (1, 2, 4, 8)]
    rows = [numbered(*one) for one in hours] + [numbered(5, 170, counted=False)]
    picture = learning_picture(rows, fit_learning(hours))
    check_picture(picture)
    dots = found(picture.wide, "circle", "fill-2")
    path = next(shape for shape in picture.wide.shapes if getattr(shape, "look", "") == "line-1")
    assert path.points[0][1] == pytest.approx(dots[0]["cy"], abs=0.1)
    assert path.points[-1][1] == pytest.approx(dots[-1]["cy"], abs=0.1)
    assert len(found(picture.wide, "circle", "fill-sheet")) == 1


def test_without_a_curve_the_dots_stand_alone():
    picture = learning_picture([numbered(3, 90)], None)
    check_picture(picture)
    assert len(found(picture.wide, "circle", "fill-2")) == 1
    assert "curve" not in picture.caption


def test_many_builds_have_few_figures_at_the_axis():
    picture = learning_picture([numbered(number, 100) for number in range(1, 200)], None)
    check_picture(picture)
    assert len(texts(picture.narrow)) < 20


def test_an_honest_range_lies_on_the_straight_line():
    shares = [place / 10 for place in range(1, 10)]
    honest = [Calibration(nominal=one, stages=one, total=one) for one in shares]
    picture = calibration_picture(honest, 20)
    check_picture(picture)
    (line,) = (
        one
        for one in found(picture.wide, "line", "axis")
        if one["x1"] != one["x2"] and one["y1"] != one["y2"]
    )
    slope = (line["y2"] - line["y1"]) / (line["x2"] - line["x1"])
    for each in found(picture.wide, "circle", "fill-1")[:-1]:  # the last one is in the key
        assert each["cy"] == pytest.approx(line["y1"] + slope * (each["cx"] - line["x1"]), abs=0.2)


def test_the_band_of_luck_is_narrower_with_more_builds():
    one = [Calibration(nominal=0.5, stages=0.5, total=0.5)]

    def widest(builds):
        band = next(
            each
            for each in calibration_picture(one, builds).wide.shapes
            if getattr(each, "look", "") == "band"
        )
        return max(band.points, key=lambda p: p[1])[1] - min(band.points, key=lambda p: p[1])[1]

    assert widest(500) <= widest(10)
    assert calibration_picture(one, 0).wide.shapes


def into(name, hours, part, billable=True):
    return HoursInto(name=name, hours=hours, part=part, billable=billable)


def test_a_bar_is_as_long_as_its_hours():
    picture = hours_into([into("Mandolins", 300, 0.75), into("messages", 100, 0.25, False)])
    check_picture(picture)
    key, dark = found(picture.wide, "rect", "fill-1")
    other_key, light = found(picture.wide, "rect", "fill-3")
    assert dark["width"] == pytest.approx(3 * light["width"], abs=0.3)
    assert key["width"] == other_key["width"]
    assert {"300:00 h", "75 %"} <= set(texts(picture.narrow))


def test_where_all_can_be_billed_there_is_no_key():
    picture = hours_into([into("Carve top", 3, 1.0)])
    assert "billable" not in texts(picture.wide)
    check_picture(picture)


def test_months_stand_on_one_another():
    months = [MonthHours(month=one, billable=10 * one, other=5) for one in range(1, 13)]
    picture = hours_by_month(months)
    check_picture(picture)
    below, above = (found(picture.wide, "rect", look)[1:] for look in ("fill-1", "fill-3"))
    for lower, upper in zip(below, above, strict=True):
        assert upper["y"] + upper["height"] == pytest.approx(lower["y"], abs=0.2)
    assert picture.says.startswith("Jan 10:00 h billable of 15:00 h")


def test_a_month_without_hours_has_no_column():
    months = [MonthHours(month=one, billable=4 if one == 3 else 0, other=0) for one in range(1, 13)]
    assert len(found(hours_by_month(months).wide, "rect", "fill-1")) == 2  # the key and March
