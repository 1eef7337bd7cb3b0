"""Lengths of time, read as a maker types them."""

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction

MOST_HOURS = 10_000
"""More than this in one entry is taken for a slip of the hand."""

LONGEST_TEXT = 40
"""Nobody writes a length of time longer than this many characters."""

HOW_TO_WRITE = "Write hours as 2.5, 2½ or 1:30, or minutes as 90 min."

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
_HOUR_WORD = r"(?:(?:h|hr|hrs|hour|hours)\.?)"
_MINUTE_WORD = r"(?:(?:m|min|mins|minute|minutes)\.?)"
_CLOCK = re.compile(rf"(\d+):(\d\d)(?::(\d\d))?\s*{_HOUR_WORD}?", re.ASCII)
_HOURS = re.compile(rf"({_NUMBER})\s*{_HOUR_WORD}?", re.ASCII)
_MINUTES = re.compile(rf"({_NUMBER})\s*{_MINUTE_WORD}", re.ASCII)
_HOURS_AND_MINUTES = re.compile(
    rf"(\d+)\s*{_HOUR_WORD}\s*(?:and\s+)?(\d+)\s*{_MINUTE_WORD}?", re.ASCII
)


def parse_duration(text: str) -> int:
    """Return the whole minutes meant by `text`, parts of a minute rounded half up.

    Reads `2.5`, `2,5 h`, `2 1/2`, `2½`, `1:30`, `1:30:00`, `90 min`, `90m`, `1h 15`. A bare
    number is hours. Raises ValueError with a sentence that says what would be right.
    """
    plain = _plain(text)
    minutes = _minutes_meant(plain)
    if minutes is None:
        raise ValueError(f"“{text.strip()}” is not a time worked. {HOW_TO_WRITE}")
    if minutes > MOST_HOURS * 60:
        raise ValueError(f"“{text.strip()}” is more than {MOST_HOURS} hours. {HOW_TO_WRITE}")
    return _half_up(minutes)


def minutes_of(seconds: int) -> Decimal:
    """Return `seconds` as minutes at full precision: 2250 is 37.5."""
    return Decimal(seconds) / 60


def billable_share(billable_seconds: int, all_seconds: int) -> Decimal | None:
    """Return the billable part of the time worked as a fraction, or None when none was worked."""
    if not all_seconds:
        return None
    return Decimal(billable_seconds) / Decimal(all_seconds)


def _plain(text: str) -> str:
    spelled = "".join(_spelled_fraction(character) for character in text.strip().casefold())
    return " ".join(spelled.split())


def _spelled_fraction(character: str) -> str:
    spelled = unicodedata.normalize("NFKC", character)
    return " " + spelled.replace("⁄", "/") if "⁄" in spelled and len(spelled) > 1 else character


def _minutes_meant(plain: str) -> Fraction | None:
    if len(plain) > LONGEST_TEXT:
        return None
    if found := _CLOCK.fullmatch(plain):
        return _clock_minutes(plain, *found.groups())
    if found := _HOURS_AND_MINUTES.fullmatch(plain):
        return _clock_minutes(plain, found[1], found[2].zfill(2), None)
    if found := _MINUTES.fullmatch(plain):
        return _number(found[1])
    if found := _HOURS.fullmatch(plain):
        return _number(found[1]) * 60
    return None


def _clock_minutes(plain: str, hours: str, minutes: str, seconds: str | None) -> Fraction:
    if int(minutes) > 59 or int(seconds or 0) > 59:
        raise ValueError(f"“{plain}” has more than 59 minutes after the hours. {HOW_TO_WRITE}")
    return Fraction(int(hours) * 60 + int(minutes)) + Fraction(int(seconds or 0), 60)


def _number(written: str) -> Fraction:
    """Read `2.5`, `2,5`, `1/2` or `2 1/2` exactly; `16/3` is more likely a date."""
    parts = [part.partition("/") for part in written.replace(",", ".").split()]
    if any(slash and int(above) >= int(below) for above, slash, below in parts):
        raise ValueError(f"“{written}” is not a part of an hour. {HOW_TO_WRITE}")
    return sum((Fraction("".join(part)) for part in parts), Fraction(0))


def _half_up(value: Fraction | Decimal) -> int:
    return int(Fraction(value) + Fraction(1, 2))
