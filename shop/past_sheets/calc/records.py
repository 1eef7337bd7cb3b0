"""What goes into the reading of an old sheet and what comes out of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table of text: its header, and rows with their number in the file (1 for the first)."""

    headers: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Which column holds what, counted from 0; None where there is none.

    With `stage` and `hours` a row is one stage of one build. Otherwise a row is a build, and
    each of `stages` is a column of hours.
    """

    build: int | None = None
    title: int | None = None
    stage: int | None = None
    hours: int | None = None
    started: int | None = None
    finished: int | None = None
    batch: int | None = None
    options: int | None = None
    stages: tuple[int, ...] = ()

    @property
    def furthest(self) -> int:
        """The last column that is named, or -1."""
        single = [self.build, self.title, self.stage, self.hours, self.started, self.finished]
        named = [*single, self.batch, self.options, *self.stages]
        return max((place for place in named if place is not None), default=-1)

    @property
    def row_is_a_stage(self) -> bool:
        return self.stage is not None and self.hours is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class StageUse:
    """What is done with the hours under one name.

    `stage`: they belong to the template's stage of that key; `own`: they are kept under their own
    name, beside the template's stages; `out`: they are left out.
    """

    kind: Literal["stage", "own", "out"]
    stage: int | None = None

    def __post_init__(self) -> None:
        if (self.kind == "stage") != (self.stage is not None):
            raise ValueError("Hours go to a stage exactly when one is named.")


OWN, OUT = StageUse(kind="own"), StageUse(kind="out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """What may be done with a name; `guessed` when it rests on parts of words only."""

    use: StageUse | None
    guessed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRules:
    """How to read a sheet.

    uses: name of a stage as written → what is done with it. options: those that the template
    has. day_first: 3/4/2021 is 3 April. undated: when a build without a day was finished.
    """

    columns: Columns
    uses: Mapping[str, StageUse]
    options: tuple[str, ...] = ()
    day_first: bool = True
    undated: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnreadRow:
    """What could not be read, in the row of this number; 0 where it is no single row."""

    row: int
    words: str

    def __str__(self) -> str:
        return f"Row {self.row}: {self.words}" if self.row else self.words


@dataclass(frozen=True, slots=True, kw_only=True)
class OldBuild:
    """One build of a sheet. minutes: (use, name as written for an own stage) → whole minutes.

    unsettled_minutes: under names that nobody has settled yet. troubles: why it can't be loaded;
    without any it can.
    """

    name: str
    title: str
    started: date | None
    finished: date | None
    batch: str
    options: tuple[str, ...]
    minutes: Mapping[tuple[StageUse, str], int]
    unsettled_minutes: int
    troubles: tuple[UnreadRow, ...]

    @property
    def all_minutes(self) -> int:
        return sum(self.minutes.values()) + self.unsettled_minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a sheet says: builds in the order in which they first appear, and what is amiss.

    unsettled: names of stages for which nobody has said yet what is done with them. troubles:
    those of no single build. skipped: empty rows.
    """

    builds: tuple[OldBuild, ...]
    unsettled: tuple[str, ...]
    troubles: tuple[UnreadRow, ...]
    skipped: int

    @property
    def sound(self) -> tuple[OldBuild, ...]:
        """Builds of which everything could be read."""
        return tuple(build for build in self.builds if not build.troubles)
