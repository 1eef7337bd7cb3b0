"""Which column of an old sheet is what, by the words in its header."""

from collections.abc import Iterable, Mapping

from shop.hours.calc.catch_up_names import words_of
from shop.past_sheets.calc.records import Columns, Sheet

WORDS: Mapping[str, tuple[str, ...]] = {
    "build": ("serial", "serial number", "number", "no", "nr", "build", "instrument", "job", "id"),
    "title": ("title", "name", "description", "model", "instrument", "build"),
    "stage": ("stage", "step", "task", "operation", "work", "part of the work"),
    "hours": ("hours", "time", "hrs", "h", "duration", "hours spent", "time spent"),
    "started": ("started", "start", "begun", "began", "from", "start date", "date started"),
    "finished": (
        "finished", "finish date", "done", "completed", "end", "ended", "to", "date", "day",
        "delivered", "date finished", "year",
    ),
    "batch": ("batch", "group", "made with", "side by side"),
    "options": ("options", "option", "extras"),
}  # fmt: skip
"""Words by which a column is known, the surest first."""

NO_STAGE = (
    "total", "sum", "total hours", "all", "notes", "note", "remarks", "comment", "client",
    "customer", "price", "cost", "wood", "woods", "rate", "quoted", "estimate", "difference",
)  # fmt: skip
"""Columns and names that hold no hours of a stage."""


def guess_columns(sheet: Sheet) -> Columns:
    """Guess which column is what. Where a row is a build, every other column may be a stage."""
    found: dict[str, int] = {}
    for role, words in WORDS.items():
        place = _find(sheet.headers, words, set(found.values()))
        if place is not None:
            found[role] = place
    if "stage" not in found or "hours" not in found:
        found.pop("stage", None)
        found.pop("hours", None)
    if "build" not in found and "title" in found:
        found["build"] = found.pop("title")
    taken = set(found.values())
    rest = tuple(
        place for place, header in enumerate(sheet.headers) if place not in taken and header
    )
    return Columns(**found, stages=() if "stage" in found else rest)


def is_no_stage(name: str) -> bool:
    """Say whether a name is that of a sum, a note or the like."""
    return words_of(name) in [words_of(each) for each in NO_STAGE]


def _find(headers: Iterable[str], words: Iterable[str], taken: set[int]) -> int | None:
    plain = [words_of(header) for header in headers]
    for word in words:
        for place, header in enumerate(plain):
            if place not in taken and header == words_of(word):
                return place
    return None
