from datetime import UTC, datetime, time, timedelta
from itertools import combinations
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from shop.hours.calc.repair import (
    Span,
    idle_gaps,
    midnight_passed,
    offered_ends,
    overlaps,
    seconds_between,
)

ZONE = ZoneInfo("Europe/Brussels")
FIVE = time(17)


def at(clock, day=16):
    return datetime.combine(datetime(2027, 3, day), time.fromisoformat(clock), tzinfo=ZONE)


def span(key, start, end, person="Posy"):
    return Span(key=key, start=at(start), end=at(end), person=person)


# Walk-through W3: linings started at 13:15 and never stopped; it is 17:50, clamps went on at 14:40.
def test_a_forgotten_stop_is_offered_its_sensible_ends():
    offers = offered_ends(
        started=at("13:15"), now=at("17:50"), day_ends=FIVE, last_recorded=at("14:40")
    )
    assert [(offer.key, offer.seconds // 60) for offer in offers] == [
        ("last", 85),
        ("day_end", 225),
        ("now", 275),
    ]
    assert [offer.words for offer in offers] == [
        "14:40, last thing recorded: 1:25 h",
        "17:00, end of the working day: 3:45 h",
        "17:50, now: 4:35 h",
    ]


def test_only_now_is_offered_when_nothing_else_lies_in_between():
    offers = offered_ends(
        started=at("17:30"), now=at("18:00"), day_ends=FIVE, last_recorded=at("16:00")
    )
    assert [offer.key for offer in offers] == ["now"]


def test_an_end_of_day_still_to_come_is_not_offered():
    offers = offered_ends(started=at("13:15"), now=at("16:00"), day_ends=FIVE)
    assert [offer.key for offer in offers] == ["now"]


def test_an_entry_that_starts_later_than_now_is_offered_no_end():
    assert offered_ends(started=at("13:15"), now=at("13:10"), day_ends=FIVE) == []


def test_after_midnight_the_end_of_the_day_it_began_on_is_offered_too():
    offers = offered_ends(started=at("13:15"), now=at("08:40", day=17), day_ends=FIVE)
    assert [offer.words for offer in offers] == [
        "17:00, end of the working day: 3:45 h",
        "00:00 on 17 March, midnight, when the clock paused: 10:45 h",
        "08:40 on 17 March, now: 19:25 h",
    ]


def test_ends_given_in_another_zone_are_shown_in_the_shops():
    offers = offered_ends(started=at("13:15"), now=at("17:50").astimezone(UTC), day_ends=FIVE)
    assert offers[-1].words == "17:50, now: 4:35 h"


def test_an_entry_running_over_midnight_is_paused_there():
    assert midnight_passed(at("23:30"), at("00:00", day=17)) == at("00:00", day=17)
    assert midnight_passed(at("23:30"), at("23:59")) is None


def test_the_hour_the_clocks_skip_is_not_worked():
    # Clocks in Brussels went from 02:00 to 03:00 on 28 March 2027 (IANA time zone database).
    assert seconds_between(at("01:30", day=28), at("03:30", day=28)) == 3600


def test_time_recorded_twice_is_found():
    first, second = span("A", "10:10", "12:25"), span("B", "11:05", "11:17")
    (found,) = overlaps([second, first])
    assert (found.first, found.second) == (first, second)
    assert (found.start, found.end, found.seconds) == (at("11:05"), at("11:17"), 12 * 60)


def test_entries_that_only_touch_do_not_overlap():
    assert overlaps([span("A", "08:40", "09:55"), span("B", "09:55", "10:10")]) == []


def test_two_people_may_work_at_the_same_time():
    together = [span("A", "08:40", "09:55", "Posy"), span("B", "09:00", "10:00", "Bram")]
    assert overlaps(together) == []


def test_three_stopwatches_at_once_are_three_overlaps():
    running = [span(key, "09:00", "17:00") for key in "ABC"]
    pairs = [(found.first.key, found.second.key) for found in overlaps(running)]
    assert pairs == [("A", "B"), ("A", "C"), ("B", "C")]


def test_time_in_which_nothing_was_recorded_is_shown():
    # Walk-through W3: level and buff, 15:00 to 17:20, was never started.
    day = [
        span("ribs", "08:40", "09:55"),
        span("top", "10:10", "12:25"),
        span("linings", "13:15", "14:40"),
        span("clean-up", "17:20", "17:50"),
    ]
    assert [(gap.start, gap.end, gap.seconds // 60) for gap in idle_gaps(day)] == [
        (at("09:55"), at("10:10"), 15),
        (at("12:25"), at("13:15"), 50),
        (at("14:40"), at("17:20"), 160),
    ]


def test_a_short_breath_is_no_gap():
    assert idle_gaps([span("A", "09:00", "10:00"), span("B", "10:05", "11:00")]) == []


def test_a_long_entry_covers_the_gap_between_two_short_ones():
    day = [span("A", "08:00", "12:00"), span("B", "08:30", "09:00"), span("C", "11:00", "11:30")]
    assert idle_gaps(day) == []


def test_a_day_without_entries_has_no_gaps():
    assert idle_gaps([]) == []


minutes_of_day = st.integers(0, 1200)


@st.composite
def days(draw):
    lengths = draw(st.lists(st.tuples(minutes_of_day, st.integers(0, 200)), max_size=8))
    base = at("00:00")
    return [
        Span(
            key=str(number),
            start=base + timedelta(minutes=start),
            end=base + timedelta(minutes=start + length),
        )
        for number, (start, length) in enumerate(lengths)
    ]


@given(days())
def test_overlaps_are_exactly_the_pairs_that_share_time(day):
    shared = {
        frozenset((one.key, two.key))
        for one, two in combinations(day, 2)
        if min(one.end, two.end) > max(one.start, two.start)
    }
    assert {frozenset((found.first.key, found.second.key)) for found in overlaps(day)} == shared


@given(days())
def test_gaps_and_covered_time_make_up_the_day(day):
    worked = {
        minute
        for one in day
        for minute in range(
            seconds_between(at("00:00"), one.start) // 60,
            seconds_between(at("00:00"), one.end) // 60,
        )
    }
    gaps = sum(gap.seconds for gap in idle_gaps(day, least_seconds=1)) // 60
    if day:
        first = min(one.start for one in day)
        last = max(one.end for one in day)
        assert gaps + len(worked) == seconds_between(first, last) // 60
