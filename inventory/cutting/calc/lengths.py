"""Cutting plans in one dimension: bars, coils, billets and strips cut to a list of lengths."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate

from inventory.base.refusals import Refusal
from inventory.cutting.calc.costs import Saw
from inventory.cutting.calc.packing import Packed, Packing

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLength:
    """Stock to cut from: `count` pieces of one length, in mm."""

    key: str
    length: Decimal
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLength:
    """Parts that are wanted: `count` of one length, in mm."""

    key: str
    length: Decimal
    count: int = 1


@dataclass(frozen=True, slots=True)
class LengthCut:
    """One part in a piece of stock, `start` mm from its untrimmed end."""

    part: str
    start: Decimal
    length: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLength:
    """One piece of stock as it is cut: cuts + sawdust + remnant + scrap + trimmed = length.

    `remnant` goes back to stock; `scrap` is an end under the least length; 0 where there is none.
    """

    stock: str
    length: Decimal
    cuts: tuple[LengthCut, ...]
    trimmed: Decimal
    sawdust: Decimal
    remnant: Decimal
    scrap: Decimal

    @property
    def usable(self) -> Decimal:
        """The length between the trimmed ends: what a remnant takes its share of cost from."""
        return self.length - self.trimmed

    @property
    def used(self) -> Decimal:
        """The parts with the saw's cuts between and behind them."""
        return self.usable - self.remnant - self.scrap


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthPlan:
    """A cutting plan; `missing` counts parts that no stock was found for.

    `opened` is the stock length that is cut into and `least_opened` a bound that no plan for the
    same parts gets under; `proven` says that no better plan exists.
    """

    pieces: tuple[CutLength, ...]
    missing: tuple[tuple[str, int], ...]
    opened: Decimal
    least_opened: Decimal | None
    proven: bool


def plan_lengths(
    stock: Sequence[StockLength],
    parts: Sequence[PartLength],
    saw: Saw,
    *,
    seconds: float = 2.0,
) -> LengthPlan:
    """Plan cuts that open the least length of stock, and then leave few, long remnants.

    `seconds` limits the work; the same request gives the same plan. Loads OR-Tools.
    """
    from inventory.cutting.calc.packing_solver import pack, tidied

    _check(stock, parts)
    ordered = sorted(parts, key=lambda part: (-part.length, part.key))
    pieces = [
        one
        for one in sorted(stock, key=lambda one: (one.length, one.key))
        for _ in range(min(one.count, sum(part.count for part in parts)))
        if one.length > 2 * saw.trim
    ]
    fine = _fineness(
        [
            *(one.length for one in stock),
            *(part.length for part in parts),
            saw.kerf,
            saw.trim,
            saw.least_length,
        ]
    )
    task = Packing(
        sizes=tuple(int((part.length + saw.kerf) * fine) for part in ordered),
        demand=tuple(part.count for part in ordered),
        rooms=tuple(int((one.length - 2 * saw.trim + saw.kerf) * fine) for one in pieces),
        prices=tuple(int(one.length * fine) for one in pieces),
    )
    packed = pack(task, seconds * 2 / 3)
    least = int((saw.least_length + saw.kerf) * fine)
    tidy = tidied(task, packed, least, seconds / 3)
    return _as_plan(tidy, pieces, ordered, saw, fine)


def _as_plan(
    packed: Packed,
    pieces: Sequence[StockLength],
    parts: Sequence[PartLength],
    saw: Saw,
    fine: int,
) -> LengthPlan:
    cut = tuple(
        _cut_piece(
            pieces[room],
            [part for part, count in zip(parts, counts, strict=True) for _ in range(count)],
            saw,
        )
        for room, counts in sorted(packed.rooms.items())
    )
    missing = tuple(
        (part.key, count) for part, count in zip(parts, packed.missing, strict=True) if count
    )
    return LengthPlan(
        pieces=cut,
        missing=missing,
        opened=sum((one.length for one in cut), _ZERO),
        least_opened=None if missing else Decimal(packed.bound) / fine,
        proven=packed.proven,
    )


def _cut_piece(stock: StockLength, parts: Sequence[PartLength], saw: Saw) -> CutLength:
    usable = stock.length - 2 * saw.trim
    ends = list(accumulate((part.length + saw.kerf for part in parts), initial=_ZERO))
    rest = max(usable - ends[-1], _ZERO)
    kept = rest if rest >= saw.least_length else _ZERO
    return CutLength(
        stock=stock.key,
        length=stock.length,
        cuts=tuple(
            LengthCut(part.key, saw.trim + start, part.length)
            for part, start in zip(parts, ends, strict=False)
        ),
        trimmed=2 * saw.trim,
        sawdust=min(ends[-1], usable) - sum((part.length for part in parts), _ZERO),
        remnant=kept,
        scrap=rest - kept,
    )


def _fineness(lengths: Sequence[Decimal]) -> int:
    """Return the power of ten that makes every length a whole number."""
    places = [-int(length.normalize().as_tuple().exponent) for length in lengths]
    return int(10 ** max(0, *places))


def _check(stock: Sequence[StockLength], parts: Sequence[PartLength]) -> None:
    if not parts or not stock:
        raise Refusal("A cutting plan needs at least one part and one piece of stock.")
    asked = [(one.key, one.length, one.count) for one in stock]
    asked += [(one.key, one.length, one.count) for one in parts]
    for key, length, count in asked:
        if length <= 0 or count < 1:
            raise Refusal(f"{key} needs a length above 0 and a count of at least 1.")
