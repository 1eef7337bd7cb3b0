"""Which pieces to put aside: of the right wood and size, ready before seasoning, in the order
that the maker prefers; and why each of the rest is not the one.
"""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import accumulate
from typing import Literal

from inventory.base.calc.days import day_words

First = Literal["oldest", "dearest"]

_Class = tuple[bool, bool]
_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_RANKS = ("", "second ", "third ", "fourth ", "fifth ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """What a line asks of a piece; sizes are those of one part in mm, empty where any will do.

    `wood` names one or more kinds, separated by commas: `Sitka spruce`, or `maple, sycamore`.
    """

    wood: str = ""
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    thickness_mm: Decimal | None = None
    parts: int | None = None

    @property
    def has_size(self) -> bool:
        return any((self.length_mm, self.width_mm, self.thickness_mm))

    @property
    def words(self) -> str:
        """Everything asked for, such as `spruce, at least 430 mm long, 150 mm wide, two parts`."""
        sizes = (
            (self.length_mm, "long"),
            (self.width_mm, "wide"),
            (self.thickness_mm, "thick"),
        )
        least = [f"{_millimetres(size)} {word}" for size, word in sizes if size]
        parts = f"{_number(self.parts)} parts" if self.parts and self.parts > 1 else ""
        asked = [self.wood, f"at least {', '.join(least)}" if least else "", parts]
        return ", ".join(one for one in asked if one)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPiece:
    """A piece on the shelf; `key` is the caller's, `age_from` the day it came in.

    `species` is empty while nobody said it; `called` is the name of its material, which is asked
    then. One of `parts` may be a set that nobody counted, or a block to split. `ready_about` is a
    forecast. `taken_by` is whoever it is promised to, `unfit` a word on why it is on the shelf for
    something else.
    """

    key: int
    number: str
    is_ready: bool
    age_from: date
    ready_since: date | None = None
    ready_about: date | None = None
    species: str = ""
    called: str = ""
    cost: Decimal = Decimal(0)
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    thickness_mm: Decimal | None = None
    parts: int = 1
    taken_by: str = ""
    unfit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A piece, and in words why it is the one, or why it is not.

    `is_certain` says that it is known to be of the wood and size that are sought.
    """

    piece: ShelfPiece
    reason: str
    is_certain: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceProposals:
    """The pieces proposed, the others that would do, best first, and those that won't, by number.

    Every piece that was looked at stands in one of them.
    """

    proposed: tuple[Proposal, ...]
    others: tuple[Proposal, ...]
    passed_over: tuple[Proposal, ...]


def propose_pieces(
    pieces: Iterable[ShelfPiece],
    wanted: int,
    *,
    sought: Sought,
    on: date,
    first: First = "oldest",
) -> PieceProposals:
    """Choose at most `wanted` pieces, on the day `on`.

    Ready ones come before seasoning ones, those known to fit before those of unknown wood or size;
    among equals the oldest or the dearest comes first. What is known not to fit is passed over.
    """
    fitting: list[tuple[ShelfPiece, _Class]] = []
    passed_over = []
    for piece in sorted(pieces, key=lambda one: one.number):
        why_not = _why_not(piece, sought)
        if why_not:
            passed_over.append(Proposal(piece=piece, reason=why_not))
        else:
            fitting.append((piece, _class_of(piece, sought)))
    fitting.sort(key=lambda one: (one[1], _preference(one[0], first)))
    alike: dict[_Class, list[int | Decimal]] = {}
    for piece, own in fitting:
        alike.setdefault(own, []).append(_value(piece, first))
    places = {own: _Places(values) for own, values in alike.items()}
    ranked = [
        Proposal(
            piece=piece,
            reason=_reason(piece, places[own], sought, on, first),
            is_certain=not own[1],
        )
        for piece, own in fitting
    ]
    wanted = max(wanted, 0)
    return PieceProposals(
        proposed=tuple(ranked[:wanted]),
        others=tuple(ranked[wanted:]),
        passed_over=tuple(passed_over),
    )


def is_of_wood(wood: str, text: str) -> bool:
    """Say whether `text`, such as a species in both its names, is of one of the kinds in `wood`.

    Each word of a kind has to begin or end a word of the text: `cedar` is in `redcedar`, while
    `elm` is not in `Engelmann`.
    """
    words = re.findall(r"\w+", text.casefold())
    return any(
        all(any(word.startswith(part) or word.endswith(part) for word in words) for part in kind)
        for kind in (re.findall(r"\w+", one) for one in wood.casefold().split(","))
        if kind
    )


def _why_not(piece: ShelfPiece, sought: Sought) -> str:
    """Return why a piece can't serve, or nothing."""
    if piece.taken_by:
        return f"reserved for {piece.taken_by}"
    if piece.unfit:
        return piece.unfit
    if sought.wood and piece.species and not is_of_wood(sought.wood, piece.species):
        return f"{piece.species.split(',')[0]}, not {sought.wood}"
    if sought.parts and 1 < piece.parts < sought.parts:
        return f"{_number(piece.parts)} of {_number(sought.parts)} parts"
    lacks = [
        f"too {word} by {_millimetres(-spare)}"
        for word, _, spare in _spares(piece, sought)
        if spare is not None and spare < 0
    ]
    return " and ".join(lacks)


def _spares(piece: ShelfPiece, sought: Sought) -> list[tuple[str, str, Decimal | None]]:
    """Return what is to spare along each size that is asked for; None where it is not known."""
    sizes = (
        ("short", "length", piece.length_mm, sought.length_mm),
        ("narrow", "width", piece.width_mm, sought.width_mm),
        ("thin", "thickness", piece.thickness_mm, sought.thickness_mm),
    )
    return [
        (word, side, None if has is None else has - asked)
        for word, side, has, asked in sizes
        if asked
    ]


def _class_of(piece: ShelfPiece, sought: Sought) -> _Class:
    """Sort ready before seasoning, and what is known to fit before what may."""
    return (not piece.is_ready, bool(_unknown(piece, sought)))


def _unknown(piece: ShelfPiece, sought: Sought) -> list[str]:
    sides = [side for _, side, spare in _spares(piece, sought) if spare is None]
    is_named = piece.species or is_of_wood(sought.wood, piece.called)
    wood = ["wood"] if sought.wood and not is_named else []
    parts = ["parts"] if sought.parts and piece.parts == 1 < sought.parts else []
    return [*wood, *sides, *parts]


def _preference(piece: ShelfPiece, first: First) -> tuple[Decimal, date, str]:
    return (-piece.cost if first == "dearest" else Decimal(0), piece.age_from, piece.number)


def _reason(piece: ShelfPiece, places: "_Places", sought: Sought, on: date, first: First) -> str:
    words = [_fit(piece, sought), _readiness(piece, on), places.words(_value(piece, first), first)]
    return ", ".join(word for word in words if word)


def _value(piece: ShelfPiece, first: First) -> int | Decimal:
    """Return what is larger the more a piece is preferred."""
    return piece.cost if first == "dearest" else -piece.age_from.toordinal()


def _fit(piece: ShelfPiece, sought: Sought) -> str:
    unknown = _unknown(piece, sought)
    if unknown:
        return f"{' and '.join(unknown)} not recorded"
    spares = [(spare, side) for _, side, spare in _spares(piece, sought) if spare is not None]
    if not spares:
        return ""
    least, side = min(spares)
    where = f" in {side}" if len(spares) > 1 else ""
    return f"fits with {_millimetres(least)} to spare{where}" if least else f"fits exactly{where}"


def _readiness(piece: ShelfPiece, on: date) -> str:
    if piece.is_ready:
        return f"ready since {_day(piece.ready_since, on)}" if piece.ready_since else "ready"
    if piece.ready_about:
        return f"not ready until about {_day(piece.ready_about, on)}"
    return "still drying"


class _Places:
    """Where each value stands among `values`, those of pieces as ready and as well known."""

    def __init__(self, values: Sequence[int | Decimal]) -> None:
        self.count = len(values)
        self.times = Counter(values)
        best = sorted(self.times, reverse=True)
        ahead = accumulate((self.times[value] for value in best), initial=0)
        self.place = dict(zip(best, ahead, strict=False))

    def words(self, value: int | Decimal, first: First) -> str:
        """Say where a value stands, such as `second oldest of four`."""
        if self.count == 1:
            return "the only one"
        if len(self.times) == 1:
            same = "at the same cost" if first == "dearest" else "from one delivery"
            return f"one of {_number(self.count)} {same}"
        if self.place[value] >= len(_RANKS):
            return f"one of {_number(self.count)}"
        shared = "one of the " if self.times[value] > 1 else ""
        return f"{shared}{_RANKS[self.place[value]]}{first} of {_number(self.count)}"


def _number(count: int) -> str:
    return _WORDS[count] if count < len(_WORDS) else str(count)


def _millimetres(size: Decimal) -> str:
    return f"{size.normalize():f} mm"


def _day(day: date, on: date) -> str:
    """Write a day with its year, unless that is this year."""
    return f"{day.day} {day:%B}" if day.year == on.year else day_words(day)
