"""Which stage of the template the words in an old sheet mean."""

from collections.abc import Mapping, Sequence

from shop.hours.calc.catch_up_names import Known, find_known, words_of
from shop.past_sheets.calc.columns import is_no_stage
from shop.past_sheets.calc.records import OUT, Columns, Sheet, StageUse, Suggestion


def stage_names_in(sheet: Sheet, columns: Columns) -> tuple[str, ...]:
    """Return what stages are called in a sheet, each name once, in the order of the sheet."""
    if columns.row_is_a_stage:
        place = columns.stage or 0
        return tuple(dict.fromkeys(name for _, cells in sheet.rows if (name := cells[place])))
    return tuple(dict.fromkeys(sheet.headers[place] for place in columns.stages))


def suggest_uses(
    names: Sequence[str], stages: Mapping[int, str], remembered: Mapping[str, StageUse]
) -> dict[str, Suggestion]:
    """Return what may be done with each name: as remembered, by its name, or as a guess.

    stages: key → name of the template's stages. remembered: by the name in small letters.
    """
    known = [Known(key=f"{key}", name=name) for key, name in stages.items()]
    return {name: _suggest(name, known, remembered) for name in names}


def _suggest(name: str, known: Sequence[Known], remembered: Mapping[str, StageUse]) -> Suggestion:
    if name.casefold() in remembered:
        return Suggestion(use=remembered[name.casefold()])
    found = find_known(name, known)
    if len(found) == 1:
        return Suggestion(
            use=StageUse(kind="stage", stage=int(found[0].key)),
            guessed=words_of(name) != words_of(found[0].name),
        )
    return Suggestion(use=OUT if is_no_stage(name) else None)
