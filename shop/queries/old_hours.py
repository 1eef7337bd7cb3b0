"""What the books know of a maker's old sheets: names settled before, builds that are in already."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, QuerySet

from inventory.refusals import Refusal
from shop.calc.oldsheets.cells import guess_day_first
from shop.calc.oldsheets.columns import guess_columns
from shop.calc.oldsheets.reading import read_sheet
from shop.calc.oldsheets.records import Columns, Reading, Sheet, Suggestion, Use, Wanted
from shop.calc.oldsheets.uses import stage_names, suggest_uses
from shop.models import Build, BuildTemplate, OldSheet, TemplateStage

SERIAL_LETTERS = 20
"""A name of a build up to this long serves as its serial number."""

MOST_NAMES = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChoices:
    """What the maker has said about a sheet so far; None is left to a guess."""

    columns: Columns | None = None
    uses: dict[str, Use] | None = None
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
    def uses(self) -> dict[str, Use]:
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
        stage_names(sheet, columns),
        {stage.pk: stage.name for stage in stages},
        remembered_uses(template),
    )
    for name, use in (choices.uses or {}).items():
        if name in suggestions:
            suggestions[name] = Suggestion(use=use)
    day_first = _day_first(sheet, columns) if choices.day_first is None else choices.day_first
    reading = read_sheet(
        sheet,
        Wanted(
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


def remembered_uses(template: BuildTemplate) -> dict[str, Use]:
    """Return what was said before about names in old sheets, by the name in small letters."""
    return {
        alias.written: Use(kind=alias.use, stage=alias.stage_id)  # type: ignore[arg-type]
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
    names = len(stage_names(sheet, columns))
    if names > MOST_NAMES:
        raise Refusal(
            f"There are {names} different names of stages in it. Say which column holds the stage."
        )


def _day_first(sheet: Sheet, columns: Columns) -> bool:
    places = [place for place in (columns.started, columns.finished) if place is not None]
    return guess_day_first(cells[place] for _, cells in sheet.rows for place in places)
