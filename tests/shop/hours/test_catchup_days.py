from datetime import date

import pytest

from shop.hours.calc.catch_up_days import parse_day

TODAY = date(2027, 3, 17)  # a Wednesday


@pytest.mark.parametrize(
    ("phrase", "day"),
    [
        ("today", "2027-03-17"),
        ("Yesterday", "2027-03-16"),
        ("the day  before yesterday", "2027-03-15"),
        ("wednesday", "2027-03-17"),
        ("last wednesday", "2027-03-10"),
        ("thu", "2027-03-11"),
        ("last tuesday", "2027-03-16"),
        ("3 days ago", "2027-03-14"),
        ("2 weeks ago", "2027-03-03"),
        ("2027-02-28", "2027-02-28"),
        ("28.2.2027", "2027-02-28"),
        ("16 March", "2027-03-16"),
        ("16th mar.", "2027-03-16"),
        ("march 16", "2027-03-16"),
        ("March 16 2026", "2026-03-16"),
        ("18 march", "2026-03-18"),
        ("29 feb", "2024-02-29"),
    ],
)
def test_days_are_read_as_they_are_spoken_of(phrase, day):
    assert parse_day(phrase, TODAY) == date.fromisoformat(day)


@pytest.mark.parametrize("phrase", ["", "binding", "16", "16/3", "mo", "16 mandolins", "may be"])
def test_what_names_no_day_is_left_to_others(phrase):
    assert parse_day(phrase, TODAY) is None


@pytest.mark.parametrize(
    ("phrase", "sentence"),
    [
        ("2027-03-18", "is in the future. Today is 2027-03-17"),
        ("2027-02-30", "is not a valid date"),
        ("31 april", "is not a valid date"),
    ],
)
def test_a_day_that_cannot_be_is_refused(phrase, sentence):
    with pytest.raises(ValueError, match=sentence):
        parse_day(phrase, TODAY)
