"""The reading of an old sheet: row by row into builds, and what could not be read."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from shop.hours.calc.catch_up_names import words_of
from shop.past_sheets.calc.cells import read_day, read_minutes
from shop.past_sheets.calc.records import (
    OUT,
    Columns,
    OldBuild,
    Reading,
    Sheet,
    SheetRules,
    StageUse,
    UnreadRow,
)
from shop.past_sheets.calc.uses import stage_names_in

EARLIEST = date(1950, 1, 1)
Cells = tuple[str, ...]


@dataclass(slots=True, kw_only=True)
class _Draft:
    """A build while its rows are read."""

    name: str
    title: str = ""
    started: date | None = None
    finished: date | None = None
    batch: str = ""
    options: list[str] = field(default_factory=list)
    minutes: dict[tuple[StageUse, str], int] = field(default_factory=dict)
    unsettled_minutes: int = 0
    troubles: list[UnreadRow] = field(default_factory=list)


def read_sheet(sheet: Sheet, wanted: SheetRules) -> Reading:
    """Read every row of a sheet; hours of one build and stage on several rows are added up.

    A row of stages without a build belongs to the build above it. A build with anything that
    could not be read is told with its troubles, and is not sound.
    """
    drafts: dict[str, _Draft] = {}
    troubles: list[UnreadRow] = []
    skipped, above = 0, ""
    for number, cells in sheet.rows:
        name = _cell(cells, wanted.columns.build) or (
            above if wanted.columns.row_is_a_stage else ""
        )
        if not any(cells):
            skipped += 1
        elif not name:
            troubles.append(UnreadRow(row=number, words="no build. Enter its number or name."))
        else:
            above = name
            draft = drafts.setdefault(name.casefold(), _Draft(name=name))
            _read_row(draft, number, cells, sheet, wanted)
    names = stage_names_in(sheet, wanted.columns)
    return Reading(
        builds=tuple(_settled(draft, wanted) for draft in drafts.values()),
        unsettled=tuple(name for name in names if name not in wanted.uses),
        troubles=tuple(troubles),
        skipped=skipped,
    )


def _read_row(draft: _Draft, number: int, cells: Cells, sheet: Sheet, wanted: SheetRules) -> None:
    columns = wanted.columns
    draft.title = draft.title or _cell(cells, columns.title)
    draft.batch = draft.batch or _cell(cells, columns.batch)
    _read_days(draft, number, cells, wanted)
    _read_options(draft, number, _cell(cells, columns.options), wanted.options)
    for name, text in _hours(cells, sheet, columns):
        _read_hours(draft, number, name, text, wanted.uses)


def _read_days(draft: _Draft, number: int, cells: Cells, wanted: SheetRules) -> None:
    """Keep the earliest day begun and the latest day finished."""
    ends: tuple[tuple[str, int | None, Callable[..., date]], ...] = (
        ("started", wanted.columns.started, min),
        ("finished", wanted.columns.finished, max),
    )
    for end, place, which in ends:
        try:
            day = read_day(_cell(cells, place), day_first=wanted.day_first, last=end == "finished")
        except ValueError as error:
            draft.troubles.append(UnreadRow(row=number, words=f"{error}"))
            continue
        kept = getattr(draft, end)
        if day:
            setattr(draft, end, which(day, kept) if kept else day)


def _read_options(draft: _Draft, number: int, text: str, known: tuple[str, ...]) -> None:
    names = {words_of(name): name for name in known}
    for part in filter(None, (part.strip() for part in text.replace(";", ",").split(","))):
        name = names.get(words_of(part))
        if name is None:
            offered = ", ".join(known) or "none"
            words = f"the template has no option “{part}”. It has: {offered}."
            draft.troubles.append(UnreadRow(row=number, words=words))
        elif name not in draft.options:
            draft.options.append(name)


def _hours(cells: Cells, sheet: Sheet, columns: Columns) -> Iterator[tuple[str, str]]:
    """Yield the names of stages in a row with the text of their hours."""
    if columns.row_is_a_stage:
        yield _cell(cells, columns.stage), _cell(cells, columns.hours)
        return
    for place in columns.stages:
        yield sheet.headers[place], cells[place]


def _read_hours(
    draft: _Draft, number: int, name: str, text: str, uses: Mapping[str, StageUse]
) -> None:
    use = uses.get(name)
    if use == OUT:
        return
    try:
        minutes = read_minutes(text)
    except ValueError as error:
        draft.troubles.append(UnreadRow(row=number, words=f"{name or 'hours'}: {error}"))
        return
    if minutes and not name:
        words = f"{text} without a stage. Enter the stage."
        draft.troubles.append(UnreadRow(row=number, words=words))
    elif use is None:
        draft.unsettled_minutes += minutes
    elif minutes:
        key = (use, "" if use.kind == "stage" else name)
        draft.minutes[key] = draft.minutes.get(key, 0) + minutes


def _settled(draft: _Draft, wanted: SheetRules) -> OldBuild:
    finished = draft.finished or wanted.undated
    troubles = [*draft.troubles, *_whole_troubles(draft, finished)]
    return OldBuild(
        name=draft.name,
        title=draft.title,
        started=draft.started,
        finished=finished,
        batch=draft.batch,
        options=tuple(draft.options),
        minutes=draft.minutes,
        unsettled_minutes=draft.unsettled_minutes,
        troubles=tuple(troubles),
    )


def _whole_troubles(draft: _Draft, finished: date | None) -> Iterator[UnreadRow]:
    """Yield what is wrong with a build as a whole."""
    if draft.troubles:
        return
    if finished is None:
        yield UnreadRow(row=0, words=f"{draft.name}: no date done.")
    elif finished < EARLIEST:
        yield UnreadRow(
            row=0, words=f"{draft.name}: {finished.year} can't be the year it was done."
        )
    elif draft.started and draft.started > finished:
        yield UnreadRow(row=0, words=f"{draft.name}: done before it was started.")
    if not draft.minutes and not draft.unsettled_minutes:
        yield UnreadRow(row=0, words=f"{draft.name}: no hours.")


def _cell(cells: Cells, place: int | None) -> str:
    return "" if place is None else cells[place]
