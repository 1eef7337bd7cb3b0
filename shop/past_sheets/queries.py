"""Old sheets read from files, and what the books know of them."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Count, QuerySet

from inventory.base.calc.sheets import rows_of_file, rows_of_text
from inventory.base.refusals import Refusal
from shop.models import Build, BuildTemplate, OldSheet, TemplateStage
from shop.past_sheets.calc.cells import guess_day_first
from shop.past_sheets.calc.columns import guess_columns
from shop.past_sheets.calc.reading import read_sheet
from shop.past_sheets.calc.records import Columns, Reading, Sheet, SheetRules, StageUse, Suggestion
from shop.past_sheets.calc.uses import stage_names_in, suggest_uses

SERIAL_LETTERS = 20
"""A name of a build up to this long serves as its serial number."""

MOST_NAMES = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChoices:
    """What the maker has said about a sheet so far; None is left to a guess."""

    columns: Columns | None = None
    uses: dict[str, StageUse] | None = None
    day_first: bool | None = None
    undated: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """An old sheet as it would be loaded. in_books: names of builds that are in already."""

    sheet: Sheet
    columns: Columns
    stages: tuple[TemplateStage, ...]
    suggestions: dict[str, Suggestion]
    day_first: bool
    undated: date | None
    reading: Reading
    in_books: frozenset[str]

    @property
    def uses(self) -> dict[str, StageUse]:
        """What is done with each name for which that is settled or guessed."""
        return {name: one.use for name, one in self.suggestions.items() if one.use}

    @property
    def loadable(self) -> int:
        """How many builds would be loaded."""
        return sum(build.name not in self.in_books for build in self.reading.sound)


def preview_of(template: BuildTemplate, sheet: Sheet, choices: SheetChoices) -> Preview:
    """Read a sheet as the maker has chosen, and as guessed where they have not; writes nothing.

    Raises Refusal for a column that the sheet does not have, or for names without end.
    """
    columns = choices.columns or guess_columns(sheet)
    _check(sheet, columns)
    stages = tuple(template.stages.all())
    suggestions = suggest_uses(
        stage_names_in(sheet, columns),
        {stage.pk: stage.name for stage in stages},
        remembered_uses(template),
    )
    for name, use in (choices.uses or {}).items():
        if name in suggestions:
            suggestions[name] = Suggestion(use=use)
    day_first = _day_first(sheet, columns) if choices.day_first is None else choices.day_first
    reading = read_sheet(
        sheet,
        SheetRules(
            columns=columns,
            uses={name: one.use for name, one in suggestions.items() if one.use},
            options=tuple(template.options.values_list("name", flat=True)),
            day_first=day_first,
            undated=choices.undated,
        ),
    )
    return Preview(
        sheet=sheet,
        columns=columns,
        stages=stages,
        suggestions=suggestions,
        day_first=day_first,
        undated=choices.undated,
        reading=reading,
        in_books=in_books(template, (build.name for build in reading.builds)),
    )


def remembered_uses(template: BuildTemplate) -> dict[str, StageUse]:
    """Return what was said before about names in old sheets, by the name in small letters."""
    return {
        alias.written: StageUse(kind=alias.use, stage=alias.stage_id)  # type: ignore[arg-type]
        for alias in template.stage_aliases.all()
    }


def in_books(template: BuildTemplate, names: Iterable[str]) -> frozenset[str]:
    """Return those of `names` that are a serial number, or the title of a build of `template`."""
    asked = list(names)
    short = [name for name in asked if len(name) <= SERIAL_LETTERS]
    long = [name[:160] for name in asked if len(name) > SERIAL_LETTERS]
    serials = Build.objects.filter(serial__in=short).values_list("serial", flat=True)
    titles = template.builds.filter(title__in=long).values_list("title", flat=True)
    known = {*serials, *titles}
    return frozenset(name for name in asked if name[:160] in known)


def sheets_of(template: BuildTemplate) -> QuerySet[OldSheet]:
    """Return the old sheets loaded into `template`, the latest first, with their `build_count`."""
    return template.old_sheets.annotate(build_count=Count("builds"))


def _check(sheet: Sheet, columns: Columns) -> None:
    if columns.furthest >= len(sheet.headers):
        raise Refusal(f"The sheet has {len(sheet.headers)} columns, counted from 0.")
    names = len(stage_names_in(sheet, columns))
    if names > MOST_NAMES:
        raise Refusal(
            f"It has {names} different stage names. Choose the column that holds the stage."
        )


def _day_first(sheet: Sheet, columns: Columns) -> bool:
    places = [place for place in (columns.started, columns.finished) if place is not None]
    return guess_day_first(cells[place] for _, cells in sheet.rows for place in places)


MOST_PACKED = 2_300_000
MOST_ROWS, MOST_COLUMNS = 5000, 100
LEAST_HEADERS = 2
SHEET_EPOCH = date(1899, 12, 31)
"""Lengths of time of a day or more come out of a spreadsheet as moments since this day."""


def read_file(name: str, content: bytes) -> Sheet:
    """Return the first sheet of an XLSX file, or a CSV file, as text. Raises Refusal.

    The header is the first row with two cells or more; what stands above it is passed over.
    """
    return _sheet([[_text(cell) for cell in row] for row in rows_of_file(name, content)])


def read_pasted(text: str) -> Sheet:
    """Return rows pasted from a spreadsheet, or typed with commas, as text. Raises Refusal."""
    return _sheet([[_text(cell) for cell in row] for row in rows_of_text(text)])


def packed(sheet: Sheet) -> str:
    """Write a sheet as text that a form can carry until it is loaded. Raises Refusal."""
    text = json.dumps({"headers": sheet.headers, "rows": sheet.rows}, separators=(",", ":"))
    if len(text.encode()) > MOST_PACKED:
        raise Refusal("The sheet is too large for this form. Split it.", field="file")
    return text


def unpacked(text: str) -> Sheet:
    """Return the sheet that a form carried. Raises Refusal when it is not whole."""
    try:
        given = json.loads(text)
        headers = tuple(map(str, given["headers"]))
        rows = tuple((int(number), tuple(map(str, cells))) for number, cells in given["rows"])
    except (ValueError, KeyError, TypeError):
        raise Refusal("The sheet was not received. Choose the file again.") from None
    if not rows or any(len(cells) != len(headers) for _, cells in rows):
        raise Refusal("The sheet was not received. Choose the file again.")
    return Sheet(headers=headers, rows=rows)


def _sheet(rows: list[list[str]]) -> Sheet:
    start = next(
        (place for place, row in enumerate(rows) if sum(map(bool, row)) >= LEAST_HEADERS), None
    )
    if start is None or start + 1 >= len(rows):
        raise Refusal("There is no table in it. The first row must name the columns.")
    width = max(place for place, header in enumerate(rows[start]) if header) + 1
    if len(rows) - start > MOST_ROWS or width > MOST_COLUMNS:
        raise Refusal(
            f"A sheet can have {MOST_ROWS} rows and {MOST_COLUMNS} columns at most. Split it."
        )
    return Sheet(
        headers=tuple(rows[start][:width]),
        rows=tuple(
            (start + place, tuple(row[:width]))
            for place, row in enumerate(rows[start + 1 :], start=2)
        ),
    )


def _text(cell: Any) -> str:
    """Write a cell as a maker would: 2.5, 1:30, 2021-03-14."""
    match cell:
        case None:
            text = ""
        case datetime() if cell.year <= SHEET_EPOCH.year + 1:
            clock = timedelta(hours=cell.hour, minutes=cell.minute, seconds=cell.second)
            text = _clock(cell.date() - SHEET_EPOCH + clock)
        case date():
            text = f"{cell:%Y-%m-%d}"
        case timedelta():
            text = _clock(cell)
        case time():
            text = f"{cell:%H:%M:%S}"
        case float():
            text = f"{cell:.6f}".rstrip("0").rstrip(".")
        case _:
            text = " ".join(str(cell).split())
    return text


def _clock(length: timedelta) -> str:
    minutes, seconds = divmod(round(length.total_seconds()), 60)
    return f"{minutes // 60}:{minutes % 60:02}:{seconds:02}"
