"""Days and hours as makers write them."""

from datetime import date

import pytest

from shop.past_sheets.calc.cells import guess_day_first, read_day, read_minutes


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2021-03-14", date(2021, 3, 14)),
        ("2021-03-14 00:00:00", date(2021, 3, 14)),
        ("14.3.2021", date(2021, 3, 14)),
        ("14/03/21", date(2021, 3, 14)),
        ("3-4-2021", date(2021, 4, 3)),
        ("14 March 2021", date(2021, 3, 14)),
        ("14. Mar 2021", date(2021, 3, 14)),
        ("March 14, 2021", date(2021, 3, 14)),
        (" sept  2021 ", date(2021, 9, 30)),
        ("2021-02", date(2021, 2, 28)),
        ("2020", date(2020, 12, 31)),
        ("", None),
        ("–", None),
    ],
    ids=lambda each: f"{each}",
)
def test_days_are_read(text, day):
    assert read_day(text) == day


@pytest.mark.parametrize(
    ("text", "day"),
    [("2021-02", date(2021, 2, 1)), ("2020", date(2020, 1, 1)), ("May 2020", date(2020, 5, 1))],
)
def test_a_stretch_begins_on_its_first_day(text, day):
    assert read_day(text, last=False) == day


def test_the_month_may_come_first():
    assert read_day("3/4/2021", day_first=False) == date(2021, 3, 4)


@pytest.mark.parametrize(
    "text", ["soon", "31.2.2021", "2021-13", "14.3", "12345", "0000", "3/25/2021"]
)
def test_what_is_no_day_is_told_in_a_sentence(text):
    with pytest.raises(ValueError, match=r"is not a day\. Write days as 2021-03-14"):
        read_day(text)


def test_only_the_first_letters_of_a_month_count():
    assert read_day("14 Marhc 2021") == date(2021, 3, 14)


@pytest.mark.parametrize(
    ("texts", "day_first"),
    [
        (["3/4/2021", "25/12/2021"], True),
        (["3/4/2021", "12/25/2021"], False),
        (["3/4/2021"], True),
        (["2021-12-25", ""], True),
        ([], True),
    ],
)
def test_the_order_of_day_and_month_is_seen_from_days_that_can_be_read_one_way_only(
    texts, day_first
):
    assert guess_day_first(texts) is day_first


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("2.5", 150), ("2,5", 150), ("2:30", 150), ("02:30:00", 150), ("25:30:00", 1530),
        ("150 min", 150), ("2½", 150), ("", 0), ("-", 0), ("0", 0), ("n/a", 0), ("0:00", 0),
    ],
)  # fmt: skip
def test_hours_are_read(text, minutes):
    assert read_minutes(text) == minutes


def test_what_is_no_length_of_time_is_told_in_a_sentence():
    with pytest.raises(ValueError, match="“two days” is not a time worked"):
        read_minutes("two days")
