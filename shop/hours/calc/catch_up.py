"""One line typed afterwards, "yesterday, 2.5 h, binding, both", read into a time entry.

The parts come in any order, with commas or without. Without a day it is today's.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from inventory.base.calc.hours import format_minutes
from shop.hours.calc.catch_up_days import parse_day
from shop.hours.calc.catch_up_names import FILLERS, Known, find_group, find_known, listed, words_of
from shop.hours.calc.durations import HOW_TO_WRITE, parse_duration

LONGEST_PHRASE = 8
"""Words that may belong together; the longest run of words that means something is taken."""

MAKING_AGAIN = frozenset(
    words_of(words)
    for words in ("again", "making again", "made again", "remake", "remade", "redo", "redone")
)
"""What says that the time went into something that is made a second time."""

_DIVIDER = re.compile(r";|,(?!\d)|(?<!\d),")


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownNames:
    """What a line may name: open builds, their stages, reasons that can't be billed, people."""

    builds: Sequence[Known]
    stages: Sequence[Known]
    reasons: Sequence[Known] = ()
    people: Sequence[Known] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchUp:
    """A line understood; keys are the caller's. Time without a stage has a `reason`.

    `is_remake` says that the stage was made again after it had failed.
    """

    day: date
    minutes: int
    builds: tuple[str, ...]
    stage: str | None
    reason: str | None
    person: str | None
    is_remake: bool = False


@dataclass(slots=True)
class _Heard:
    days: list[date] = field(default_factory=list)
    lengths: list[int] = field(default_factory=list)
    builds: list[str] = field(default_factory=list)
    stages: list[Known] = field(default_factory=list)
    unsure: list[tuple[str, list[Known]]] = field(default_factory=list)
    reasons: list[Known] = field(default_factory=list)
    people: list[Known] = field(default_factory=list)
    is_remake: bool = False
    unknown: list[str] = field(default_factory=list)


def parse_catch_up(line: str, bench: KnownNames, *, today: date) -> CatchUp:
    """Return the entry that `line` describes.

    Needs a length of time and either a stage with its builds or a reason; the only open build
    need not be named. Raises ValueError with a sentence naming what was not understood, what
    could mean several things, or what is missing.
    """
    heard = _Heard()
    for segment in _DIVIDER.split(line):
        words = segment.split()
        while words:
            words = words[_take(words, bench, today, heard) :]
    if heard.unknown:
        raise ValueError(_not_understood(heard.unknown))
    return _entry(heard, bench, today)


def _take(words: Sequence[str], bench: KnownNames, today: date, heard: _Heard) -> int:
    """Add the longest meaningful run at the start of `words` to `heard`; return its length."""
    for length in range(min(len(words), LONGEST_PHRASE), 0, -1):
        if _understood(" ".join(words[:length]), bench, today, heard):
            return length
    if words[0].casefold() not in FILLERS:
        heard.unknown.append(words[0])
    return 1


def _understood(phrase: str, bench: KnownNames, today: date, heard: _Heard) -> bool:
    if day := parse_day(phrase, today):
        heard.days.append(day)
    elif (minutes := _length(phrase)) is not None:
        heard.lengths.append(minutes)
    elif words_of(phrase) in MAKING_AGAIN:
        heard.is_remake = True
    elif group := find_group(phrase, bench.builds):
        heard.builds += group
    else:
        return _named(phrase, bench, heard)
    return True


def _length(phrase: str) -> int | None:
    try:
        return parse_duration(phrase)
    except ValueError:
        return None


def _named(phrase: str, bench: KnownNames, heard: _Heard) -> bool:
    everything = [*bench.builds, *bench.stages, *bench.reasons, *bench.people]
    found = find_known(phrase, everything)
    if len(found) > 1 and all(one in bench.stages for one in found):
        heard.unsure.append((phrase, found))
        return True
    if len(found) > 1:
        raise ValueError(_several(phrase, found))
    for one in found:
        if one in bench.builds:
            heard.builds.append(one.key)
        elif one in bench.stages:
            heard.stages.append(one)
        else:
            (heard.reasons if one in bench.reasons else heard.people).append(one)
    return bool(found)


def _several(phrase: str, found: Sequence[Known]) -> str:
    return f"“{phrase}” could be {listed(found)}. Write more of the name."


def _not_understood(words: Sequence[str]) -> str:
    help_with_numbers = ""
    if any(word[0].isdigit() for word in words):
        help_with_numbers = f" {HOW_TO_WRITE} Write a day as 16 March or 2027-03-16."
    return (
        f"“{' '.join(words)}” is not a day, time worked, stage, build, reason or "
        f"person.{help_with_numbers}"
    )


def _entry(heard: _Heard, bench: KnownNames, today: date) -> CatchUp:
    minutes = _one_length(heard.lengths)
    builds = _builds(heard, bench, needed=bool(heard.stages or heard.unsure))
    heard.stages += [_of_builds(phrase, found, builds) for phrase, found in heard.unsure]
    stage, reason = _only(heard.stages, "stages"), _only(heard.reasons, "reasons")
    if stage and reason:
        raise ValueError(f"{stage.name} and {reason.name}: write each on its own line.")
    if reason and heard.is_remake:
        raise ValueError(
            f"Which stage was rework? Name it, or leave out “again” with {reason.name}."
        )
    if not stage and not reason:
        raise ValueError("Which stage was it? Name a stage, or a reason that is not billable.")
    person = _only(heard.people, "people")
    return CatchUp(
        day=_only_day(heard.days, today),
        minutes=minutes,
        builds=builds,
        stage=stage.key if stage else None,
        reason=reason.key if reason else None,
        person=person.key if person else None,
        is_remake=heard.is_remake,
    )


def _of_builds(phrase: str, found: Sequence[Known], builds: Sequence[str]) -> Known:
    """Return the one of `found` that the named builds have."""
    own = [one for one in found if one.builds & set(builds)]
    if len(own) != 1:
        raise ValueError(_several(phrase, own or found))
    return own[0]


def _one_length(lengths: Sequence[int]) -> int:
    if len(lengths) > 1:
        shown = " and ".join(format_minutes(minutes) for minutes in lengths)
        raise ValueError(f"There is more than one time: {shown}. Write one per line.")
    if not sum(lengths):
        raise ValueError(f"Enter the time worked. {HOW_TO_WRITE}")
    return lengths[0]


def _only(found: Sequence[Known], what: str) -> Known | None:
    different = list(dict.fromkeys(found))
    if len(different) > 1:
        raise ValueError(
            f"There are several {what}: {listed(different, 'and')}. Write one per line."
        )
    return different[0] if different else None


def _only_day(days: Sequence[date], today: date) -> date:
    if len(set(days)) > 1:
        shown = " and ".join(f"{day:%Y-%m-%d}" for day in days)
        raise ValueError(f"There is more than one day: {shown}. Write one per line.")
    return days[0] if days else today


def _builds(heard: _Heard, bench: KnownNames, *, needed: bool) -> tuple[str, ...]:
    if heard.builds or not needed:
        return tuple(dict.fromkeys(heard.builds))
    if not bench.builds:
        raise ValueError("There is no open build for this time.")
    if len(bench.builds) > 1:
        raise ValueError(f"Which build was it? Name {listed(bench.builds)}.")
    return (bench.builds[0].key,)
