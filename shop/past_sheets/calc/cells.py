"""Days and hours as they are written in the cells of old sheets."""

import re
from calendar import month_abbr
from collections.abc import Iterable
from datetime import date

from dateutil.relativedelta import relativedelta

from shop.hours.calc.durations import parse_duration

NOTHING = {"", "-", "–", "—", "0", "0.0", "0,0", "0:00", "00:00", "n/a", "none"}
MONTHS = {name.casefold(): number for number, name in enumerate(month_abbr) if number}
HOW_TO_WRITE_A_DAY = "Write days as 2021-03-14, 14.3.2021 or 14 March 2021, or a month as 2021-03."

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]\d{1,2}:\d\d(?::\d\d(?:\.\d+)?)?)?")
_NUMBERS = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4}|\d{2})")
_DAY_MONTH = re.compile(r"(\d{1,2})\.?\s+([a-z]{3,9})\.?,?\s+(\d{4})")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.?\s+(\d{1,2}),?\s+(\d{4})")
_YEAR_MONTH = re.compile(r"(\d{4})[-/.](\d{1,2})")
_MONTH_YEAR = re.compile(r"([a-z]{3,9})\.?\s+(\d{4})")
_YEAR = re.compile(r"(\d{4})")


def read_minutes(text: str) -> int:
    """Return the whole minutes of a cell; 0 for an empty one. Raises ValueError as a sentence."""
    return 0 if text.strip().casefold() in NOTHING else parse_duration(text)


def read_day(text: str, *, day_first: bool = True, last: bool = True) -> date | None:
    """Return the day of a cell, or None for an empty one.

    A month or a year alone is its last day, or its first unless `last`. Raises ValueError with
    a sentence.
    """
    plain = " ".join(text.split()).casefold()
    if plain in NOTHING:
        return None
    try:
        found = _day(plain, day_first) or _stretch(plain, last)
    except ValueError:
        found = None
    if found is None:
        raise ValueError(f"“{text.strip()}” is not a day. {HOW_TO_WRITE_A_DAY}")
    return found


def guess_day_first(texts: Iterable[str]) -> bool:
    """Say whether days such as 3/4/2021 are written day first: yes, unless one can't be."""
    found = [_NUMBERS.fullmatch(" ".join(text.split())) for text in texts]
    return not any(one and int(one[1]) <= 12 < int(one[2]) for one in found)


def _day(plain: str, day_first: bool) -> date | None:
    if found := _ISO.fullmatch(plain):
        return date(int(found[1]), int(found[2]), int(found[3]))
    if found := _NUMBERS.fullmatch(plain):
        first, second, year = (int(part) for part in found.groups())
        month, day = (second, first) if day_first else (first, second)
        return date(year if year > 99 else 2000 + year, month, day)
    if found := _DAY_MONTH.fullmatch(plain):
        return date(int(found[3]), _month(found[2]), int(found[1]))
    if found := _MONTH_DAY.fullmatch(plain):
        return date(int(found[3]), _month(found[1]), int(found[2]))
    return None


def _stretch(plain: str, last: bool) -> date | None:
    """Return an end of a month or of a year."""
    if found := _YEAR_MONTH.fullmatch(plain):
        return _end_of(int(found[1]), int(found[2]), last)
    if found := _MONTH_YEAR.fullmatch(plain):
        return _end_of(int(found[2]), _month(found[1]), last)
    if found := _YEAR.fullmatch(plain):
        return date(int(plain), 12, 31) if last else date(int(plain), 1, 1)
    return None


def _end_of(year: int, month: int, last: bool) -> date:
    first = date(year, month, 1)
    return first + relativedelta(day=31) if last else first


def _month(word: str) -> int:
    """Return the number of a month; only its first three letters count."""
    if word[:3] not in MONTHS:
        raise ValueError(f"{word} is not a month")
    return MONTHS[word[:3]]
