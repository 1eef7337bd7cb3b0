"""A cutting plan as a picture to take to the saw: rectangles for a template to set as SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.wood_units import size_number
from inventory.cutting.calc.boards import CutBoard
from inventory.cutting.calc.lengths import CutLength

WIDTH = 760
BAR = 44
SMALLEST_HEIGHT = 30
ROOM_FOR_WORDS = 34


@dataclass(frozen=True, slots=True)
class Box:
    """One part or remnant: where it lies in pixels, what it becomes, and how to mark it out.

    `size` and `at` are in the shop's unit; `at` is where it begins, from the untrimmed end and, on
    a board, from the edge.
    """

    x: float
    y: float
    width: float
    height: float
    kind: str
    name: str
    size: str
    at: str

    @property
    def words(self) -> str:
        return f"{self.name} {self.size}"

    @property
    def middle(self) -> tuple[float, float]:
        return round(self.x + self.width / 2, 1), round(self.y + self.height / 2, 1)

    @property
    def has_room(self) -> bool:
        return self.width >= ROOM_FOR_WORDS and self.height >= 16


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPicture:
    """One piece of stock, drawn to scale along the grain, its untrimmed end at the left."""

    width: int
    height: float
    boxes: tuple[Box, ...]


def picture_of_board(board: CutBoard, names: Sequence[str]) -> CutPicture:
    """Draw `board`; a blank's key is the position of its name."""
    scale = Decimal(WIDTH) / board.length
    places = [(cut.place, "part", names[int(cut.part)]) for cut in board.cuts]
    places += [(place, "remnant", "remnant") for place in board.remnants]
    boxes = tuple(
        Box(
            _px(place.x * scale),
            _px(place.y * scale),
            _px(place.length * scale),
            _px(place.width * scale),
            kind,
            words,
            f"{size_number(place.length)} × {size_number(place.width)}",
            f"{size_number(place.x)}, {size_number(place.y)}",
        )
        for place, kind, words in places
    )
    return CutPicture(
        width=WIDTH, height=max(_px(board.width * scale), SMALLEST_HEIGHT), boxes=boxes
    )


def picture_of_length(cut: CutLength, names: Sequence[str]) -> CutPicture:
    """Draw a bar, coil or strip; a part's key is the position of its name."""
    scale = Decimal(WIDTH) / cut.length
    boxes = [
        Box(
            _px(part.start * scale),
            0,
            _px(part.length * scale),
            BAR,
            "part",
            names[int(part.part)],
            size_number(part.length),
            size_number(part.start),
        )
        for part in cut.cuts
    ]
    if cut.remnant:
        start = cut.length - cut.trimmed / 2 - cut.remnant
        at, wide = _px(start * scale), _px(cut.remnant * scale)
        boxes.append(
            Box(
                at, 0, wide, BAR, "remnant", "remnant", size_number(cut.remnant), size_number(start)
            )
        )
    return CutPicture(width=WIDTH, height=BAR, boxes=tuple(boxes))


def _px(value: Decimal) -> float:
    return round(float(value), 1)
