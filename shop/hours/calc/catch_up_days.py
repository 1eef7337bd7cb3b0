"""Days as they are spoken of at the bench: yesterday, last Tuesday, 16 March, 3 days ago."""

import re
from datetime import date, timedelta

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_SPOKEN = {"today": 0, "yesterday": 1, "day before yesterday": 2, "the day before yesterday": 2}
_AGO = re.compile(r"(\d{1,3}) (day|week)s? ago", re.ASCII)
_ISO = re.compile(r"(?P<year>\d{4})-(?P<month>\d\d)-(?P<day>\d\d)", re.ASCII)
_DOTTED = re.compile(r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{4})", re.ASCII)
_DAY_MONTH = re.compile(
    r"(?P<day>\d{1,2})(?:st|nd|rd|th)? (?P<month>[a-z]{3,9})\.?(?: (?P<year>\d{4}))?", re.ASCII
)
_MONTH_DAY = re.compile(
    r"(?P<month>[a-z]{3,9})\.? (?P<day>\d{1,2})(?:st|nd|rd|th)?(?: (?P<year>\d{4}))?", re.ASCII
)


def parse_day(phrase: str, today: date) -> date | None:
    """Return the day that `phrase` names, or None when it names no day.

    A weekday is the latest one up to today, with `last` the latest before today; a date without a
    year is the latest one up to today. Raises ValueError for a day that does not exist or is
    still to come.
    """
    plain = " ".join(phrase.casefold().split())
    day = _spoken(plain, today) or _written(plain, today)
    if day and day > today:
        raise ValueError(f"“{phrase}” is in the future. Today is {today:%Y-%m-%d}.")
    return day


def _spoken(plain: str, today: date) -> date | None:
    if plain in _SPOKEN:
        return today - timedelta(days=_SPOKEN[plain])
    if found := _AGO.fullmatch(plain):
        return today - timedelta(days=int(found[1]) * (7 if found[2] == "week" else 1))
    last = plain.startswith("last ")
    weekday = _place(plain.removeprefix("last "), _WEEKDAYS)
    if weekday is None:
        return None
    back = (today.weekday() - weekday) % 7
    return today - timedelta(days=7 if last and not back else back)


def _written(plain: str, today: date) -> date | None:
    for shape in (_ISO, _DOTTED, _DAY_MONTH, _MONTH_DAY):
        if found := shape.fullmatch(plain):
            month = _month(found["month"])
            return _date(plain, found["year"], month, int(found["day"]), today) if month else None
    return None


def _month(written: str) -> int | None:
    if written.isdigit():
        return int(written)
    place = _place(written, _MONTHS)
    return None if place is None else place + 1


def _place(written: str, names: tuple[str, ...]) -> int | None:
    """Return the place of the name that `written` is, or begins with three letters or more."""
    if len(written) < 3:
        return None
    return next((place for place, name in enumerate(names) if name.startswith(written)), None)


def _date(plain: str, year: str | None, month: int, day: int, today: date) -> date:
    years = [int(year)] if year else [today.year, *range(today.year - 1, today.year - 9, -1)]
    days = [one for one in (_existing(each, month, day) for each in years) if one]
    if not days:
        raise ValueError(f"“{plain}” is not a valid date.")
    past = [one for one in days if one <= today]
    return past[0] if past else days[0]


def _existing(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
