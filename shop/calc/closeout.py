"""Closing out a build: quoted against actual hours by stage, and what to quote next time."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

LEAST_KEPT = 3
"""No next figure is suggested from fewer builds than this (TRADE section 9)."""

LAST_SHOWN = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptHours:
    """Actual hours of one finished build on a stage; `kept` unless the maker sets it aside."""

    build: str
    hours: Decimal
    kept: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class StageHours:
    """One stage of the build being closed out.

    quoted: hours in its quote, 0 when the stage was not quoted. actual: this build's own.
    earlier: other builds of the pattern, the latest first. kept: whether this build counts.
    """

    key: str
    quoted: Decimal
    actual: Decimal
    earlier: Sequence[KeptHours] = ()
    kept: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class StageCloseout:
    """Quoted and actual hours of a stage beside its last builds, and the next figure.

    difference: actual less quoted. difference_part: of quoted; None when nothing was quoted.
    last: hours of the latest earlier builds, kept or not. suggested: None with too few kept;
    `counted` is the number of builds that it goes by, this one among them if kept.
    """

    key: str
    quoted: Decimal
    actual: Decimal
    difference: Decimal
    difference_part: Decimal | None
    last: tuple[KeptHours, ...]
    suggested: Decimal | None
    counted: int
    words: str


def close_out_stage(stage: StageHours) -> StageCloseout:
    """Compare one stage and suggest its next hours: the median of the builds that are kept."""
    kept = [one.hours for one in stage.earlier if one.kept]
    kept += [stage.actual] if stage.kept else []
    difference = stage.actual - stage.quoted
    return StageCloseout(
        key=stage.key,
        quoted=stage.quoted,
        actual=stage.actual,
        difference=difference,
        difference_part=difference / stage.quoted if stage.quoted else None,
        last=tuple(stage.earlier[:LAST_SHOWN]),
        suggested=median(kept) if len(kept) >= LEAST_KEPT else None,
        counted=len(kept),
        words=_words(len(kept)),
    )


def _words(counted: int) -> str:
    if counted >= LEAST_KEPT:
        return f"the median of {counted} builds"
    kept = {0: "no build is", 1: "only one build is"}.get(counted, f"only {counted} builds are")
    return f"{kept} kept; a suggestion needs {LEAST_KEPT}"
