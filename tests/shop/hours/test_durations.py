from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.hours import format_minutes
from shop.hours.calc.durations import billable_share, minutes_of, parse_duration


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("2.5", 150),
        ("2,5 h", 150),
        ("2 1/2", 150),
        ("2½", 150),
        ("2 ½ h", 150),
        ("½", 30),
        ("1/2 hour", 30),
        (".5", 30),
        ("1:30", 90),
        ("0:05", 5),
        ("1:30 h", 90),
        ("1:30:30", 91),
        ("90 min", 90),
        ("90m", 90),
        ("45 minutes", 45),
        ("2½ min", 3),
        ("1h 15", 75),
        ("1h15", 75),
        ("1 h 5", 65),
        ("1 hour and 15 minutes", 75),
        ("7 h 45", 465),
        ("3", 180),
        ("3 hrs", 180),
        ("  2.5\u00a0H  ", 150),
        ("0.33", 20),
        ("0", 0),
    ],
)
def test_hours_are_read_as_makers_type_them(text, minutes):
    assert parse_duration(text) == minutes


def test_a_bare_number_is_hours_not_minutes():
    assert parse_duration("45") == 45 * 60


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "“” is not a time worked."),
        ("binding", "“binding” is not a time worked."),
        ("-2", "“-2” is not a time worked."),
        ("2.5.1", "“2.5.1” is not a time worked."),
        ("1.250,5", "“1.250,5” is not a time worked."),
        ("2 days", "“2 days” is not a time worked."),
        ("1h 2h", "“1h 2h” is not a time worked."),
        ("1:75", "“1:75” has more than 59 minutes after the hours."),
        ("1h 75", "“1h 75” has more than 59 minutes after the hours."),
        ("1/0", "“1/0” is not a part of an hour."),
        ("16/3", "“16/3” is not a part of an hour."),
        ("20000", "“20000” is more than 10000 hours."),
        ("9" * 5000, "“9999"),
        ("9²", "“9²” is not a time worked."),
    ],
)
def test_what_is_no_length_of_time_is_refused_in_a_sentence(text, sentence):
    with pytest.raises(ValueError, match=r"Write hours as 2\.5, 2½ or 1:30") as refused:
        parse_duration(text)
    assert str(refused.value).startswith(sentence)


@given(st.integers(0, 600_000))
def test_what_is_shown_reads_back_the_same(minutes):
    assert parse_duration(format_minutes(minutes)) == minutes


@given(st.integers(0, 600_000))
def test_a_clock_time_reads_as_its_hours_and_minutes(minutes):
    assert parse_duration(f"{minutes // 60}:{minutes % 60:02}") == minutes


@given(st.text(max_size=12) | st.from_regex(r"[0-9/:., hm½]{1,10}", fullmatch=True))
def test_any_text_is_either_read_or_refused_with_advice(text):
    minutes, advice = None, ""
    try:
        minutes = parse_duration(text)
    except ValueError as refused:
        advice = str(refused)
    assert "Write hours as" in advice or minutes >= 0


# Walk-through W3: 423 billable minutes of 465 are 91.0 %.
def test_the_billable_share_of_a_day_at_the_bench():
    share = billable_share(423 * 60, 465 * 60)
    assert round(share * 100, 1) == Decimal("91.0")


def test_no_work_has_no_billable_share():
    assert billable_share(0, 0) is None


def test_half_minutes_of_a_split_are_kept():
    assert minutes_of(2250) == Decimal("37.5")
