"""Pictures over time."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from inventory.base.pictures import (
    BOTTOM,
    DATE_ROOM,
    HEIGHT,
    LEFT,
    RIGHT,
    TOP,
    WIDTH,
    time_picture,
    time_pictures,
)

DAY = date(2027, 3, 9)
readings = st.lists(
    st.tuples(st.integers(0, 900), st.decimals(1, 5000, places=1)), min_size=2, max_size=12
)


def test_one_day_is_no_picture():
    assert time_picture([], unit="g") is None
    assert time_picture([(DAY, Decimal(868))], unit="g") is None


@given(readings)
def test_everything_lies_inside_the_frame(rows):
    picture = time_picture(
        [(DAY + timedelta(days=days), value) for days, value in sorted(rows)], unit="g"
    )
    if picture is None:
        return
    for dot in picture.dots:
        assert LEFT <= dot.x <= WIDTH - RIGHT
        assert TOP <= dot.y <= HEIGHT - BOTTOM
    marks = [mark.at for mark in picture.values]
    assert TOP <= min(marks) <= max(marks) <= HEIGHT - BOTTOM
    assert 2 <= len(marks) <= 9


def test_a_forecast_is_a_strip_beyond_the_last_reading():
    rows = [(DAY, Decimal(868)), (DAY + timedelta(days=7), Decimal(861))]
    band = (DAY + timedelta(days=14), DAY + timedelta(days=28))
    picture = time_picture(rows, unit="g", band=band, level=Decimal(850))
    assert picture.dots[-1].x < picture.band[0] < picture.band[1] == WIDTH - RIGHT
    assert picture.level > picture.dots[-1].y


def test_a_phone_gets_a_picture_of_its_own_with_room_for_every_day():
    rows = [(DAY + timedelta(days=7 * week), Decimal(900 - week)) for week in range(20)]
    (wide, desk), (narrow, phone) = time_pictures(rows, unit="g", wide=880)
    assert (wide, desk.width, narrow) == ("wide", 880, "narrow")
    assert phone.width < 400
    for picture in (desk, phone):
        at = [mark.at for mark in picture.days]
        assert min(after - before for before, after in pairwise(at)) >= DATE_ROOM
        assert max(at) == picture.right


def test_of_very_many_readings_some_have_a_dot_and_the_line_goes_through_all():
    readings = [(date(2027, 1, 1) + timedelta(days=day), Decimal(day)) for day in range(500)]
    picture = time_picture(readings, unit="g")
    assert len(picture.dots) <= 60
    assert picture.dots[-1].words.startswith("14 May 2028")
    assert len(picture.line.split()) == 500
