"""Which pieces to put aside: ready before seasoning, long enough, the oldest first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPiece:
    """A free piece on the shelf; `key` is the caller's, `age_from` the day it came in."""

    key: int
    number: str
    is_ready: bool
    age_from: date
    length_mm: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A piece proposed, and the reason in words."""

    piece: ShelfPiece
    reason: str


def propose_pieces(
    pieces: Iterable[ShelfPiece], wanted: int, *, least_length: Decimal | None = None
) -> list[Proposal]:
    """Return at most `wanted` pieces, the best first.

    A piece known to be shorter than `least_length` (mm) is never proposed; one of unknown length
    comes after those that are known to fit.
    """
    fitting = [piece for piece in pieces if not _too_short(piece, least_length)]
    fitting.sort(key=lambda piece: _order(piece, least_length))
    return [
        Proposal(piece=piece, reason=_reason(piece, least_length)) for piece in fitting[:wanted]
    ]


def _too_short(piece: ShelfPiece, least: Decimal | None) -> bool:
    return least is not None and piece.length_mm is not None and piece.length_mm < least


def _order(piece: ShelfPiece, least: Decimal | None) -> tuple[bool, bool, date, str]:
    is_unmeasured = least is not None and piece.length_mm is None
    return (not piece.is_ready, is_unmeasured, piece.age_from, piece.number)


def _reason(piece: ShelfPiece, least: Decimal | None) -> str:
    words = ["ready" if piece.is_ready else "still seasoning"]
    if least is not None:
        words.append("length not known" if piece.length_mm is None else "long enough")
    words.append(f"in the shop since {piece.age_from.day} {piece.age_from:%B %Y}")
    return ", ".join(words)
