"""The picture of the queue: its months stand at even distances."""

from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest

from shop.base.pictures.shapes import Words
from shop.queue.pictures import Lane, queue_picture

ON = date(2026, 11, 29)


def lane(days):
    last = ON + timedelta(days=days)
    return Lane(name="A", says="", spans=(), day_50=last, day_80=last, day_90=last)


def month_of(name):
    day = datetime.strptime(name, "%b %Y")
    return day.year * 12 + day.month


@pytest.mark.parametrize(("days", "every"), [(60, 1), (300, 1), (400, 2), (900, 3), (1500, 6)])
def test_every_month_is_named_or_every_second_third_or_sixth(days, every):
    shapes = queue_picture([lane(days)], ON).wide.shapes
    texts = [one.text for one in shapes if isinstance(one, Words)]
    months = [month_of(text) for text in texts if text[-4:].isdigit()]
    assert {after - before for before, after in pairwise(months)} == {every}
