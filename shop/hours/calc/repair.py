"""Putting a day's record right: forgotten stops, nights, overlaps and gaps.

Datetimes are aware and in the shop's time zone, so that their date is the shop's day. Lengths are
taken between instants: an hour lost or gained by the clocks is not worked.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal

from inventory.base.calc.hours import format_minutes
from shop.hours.calc.durations import minutes_of

LONGEST_DAY = 16 * 3600
"""Seconds: what is recorded beyond this in a day is rather a slip than work (common practice, no
source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedEnd:
    """One sensible end of a running entry. `key` is last, day_end, midnight or now."""

    key: str
    at: datetime
    seconds: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One recorded stretch of time; `key` is the caller's, `person` whose time it is."""

    key: str
    start: datetime
    end: datetime
    person: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """Time that one person recorded twice, in `first` and in `second`."""

    first: Span
    second: Span
    start: datetime
    end: datetime
    seconds: int

    @property
    def minutes(self) -> Decimal:
        return minutes_of(self.seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Time between two recorded stretches in which nothing was recorded."""

    start: datetime
    end: datetime
    seconds: int


def seconds_between(start: datetime, end: datetime) -> int:
    """Return the whole seconds from `start` to `end`, right over a change of the clocks."""
    return int((end.astimezone(UTC) - start.astimezone(UTC)).total_seconds())


def midnight_passed(started: datetime, now: datetime) -> datetime | None:
    """Return the first midnight after `started` if `now` has reached it, else None.

    A running entry is paused there and marked *unsure*: never silently kept, never lost.
    """
    next_day = started.date() + timedelta(days=1)
    midnight = datetime.combine(next_day, time.min, tzinfo=started.tzinfo)
    return midnight if now.astimezone(UTC) >= midnight.astimezone(UTC) else None


def offered_ends(
    *, started: datetime, now: datetime, day_ends: time, last_recorded: datetime | None = None
) -> list[OfferedEnd]:
    """Return the sensible ends of an entry that was never stopped, the earliest first.

    They are the last thing recorded since the start, the end of the working day, midnight once it
    has passed, and now. Ends that do not lie after the start and up to now are left out.
    """
    working_day_end = datetime.combine(started.date(), day_ends, tzinfo=started.tzinfo)
    wanted = [
        ("last", last_recorded, "last thing recorded"),
        ("day_end", working_day_end, "end of the working day"),
        ("midnight", midnight_passed(started, now), "midnight, when the clock paused"),
        ("now", now, "now"),
    ]
    offers = [
        _offer(key, at.astimezone(started.tzinfo), why, started)
        for key, at, why in wanted
        if at and 0 < seconds_between(started, at) <= seconds_between(started, now)
    ]
    return sorted(offers, key=lambda offer: offer.seconds)


def overlaps(spans: Iterable[Span]) -> list[Overlap]:
    """Return every pair of spans of one person that share time, by when the shared time starts.

    They are shown, not forbidden: two builds may well be on the bench at once.
    """
    found: list[Overlap] = []
    open_spans: list[Span] = []
    for span in sorted(spans, key=lambda span: (span.start.astimezone(UTC), span.key)):
        open_spans = [other for other in open_spans if seconds_between(span.start, other.end) > 0]
        found += [_overlap(other, span) for other in open_spans if other.person == span.person]
        open_spans.append(span)
    return [overlap for overlap in found if overlap.seconds > 0]


def idle_gaps(spans: Sequence[Span], *, least_seconds: int = 900) -> list[Gap]:
    """Return the stretches of `least_seconds` or more between spans in which none was running.

    Give the spans of one person and one day. Time before the first and after the last is no gap.
    """
    ordered = sorted(spans, key=lambda span: span.start.astimezone(UTC))
    reached = [span.end for span in ordered[:1]]
    for span in ordered[1:]:
        reached.append(max(reached[-1], span.end, key=lambda end: end.astimezone(UTC)))
    starts = [span.start for span in ordered[1:]]
    gaps = [
        Gap(start=end, end=start, seconds=seconds_between(end, start))
        for end, start in zip(reached, starts, strict=False)
    ]
    return [gap for gap in gaps if gap.seconds >= max(least_seconds, 1)]


def _offer(key: str, at: datetime, why: str, started: datetime) -> OfferedEnd:
    day = "" if at.date() == started.date() else f" on {at.day} {at:%B}"
    seconds = seconds_between(started, at)
    length = format_minutes(minutes_of(seconds))
    return OfferedEnd(key=key, at=at, seconds=seconds, words=f"{at:%H:%M}{day}, {why}: {length}")


def _overlap(first: Span, second: Span) -> Overlap:
    end = min(first.end, second.end, key=lambda at: at.astimezone(UTC))
    return Overlap(
        first=first,
        second=second,
        start=second.start,
        end=end,
        seconds=seconds_between(second.start, end),
    )
