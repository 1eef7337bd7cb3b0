"""A sleeve for a set of strings: a paper to cut out, fold and glue. It tells no cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from inventory.base.calc.units import INCH_MM
from inventory.base.documents import PAPERS_MM, page_size, write_pdf
from inventory.base.wood_units import IMPERIAL, wood_units
from inventory.models import StringSet, Workshop
from inventory.strings.calc.string_sets import SetPull
from inventory.strings.queries import StringRow, pull_of_set, rows_of

PANEL, FLAP, TAB, SLANT = Decimal(104), Decimal(30), Decimal(14), Decimal(8)
"""Millimetres: the sides of the sleeve, its flap, its tabs to glue, and how far those taper.

Coiled strings lie in about 95 mm (common practice, no source).
"""
MOST_WORDS = 120

_NOTE_MM = (Decimal(88), Decimal(62))
_LETTERS = (Decimal(9), Decimal(8), Decimal(7), Decimal(6), Decimal(5))
_POINT_MM = Decimal("0.3528")
_LINE_HEIGHT, _LETTER_WIDTH = Decimal("1.3"), Decimal("0.52")
_ROWS_MM, _ROW_HEIGHT = Decimal(60), Decimal("1.6")


@dataclass(frozen=True, slots=True)
class SleeveString:
    """One row on the front: the strings of one pitch; the gauge also in mm, to a hundredth."""

    row: StringRow

    @property
    def gauge_mm(self) -> Decimal:
        millimetres = self.row.row.single.gauge / 1000 * INCH_MM
        return millimetres.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)

    @property
    def gauge_inches(self) -> Decimal:
        """As it is written on a packet: 0.010, or finer where it was measured so."""
        inches = self.row.row.single.gauge / 1000
        in_thousandths = inches.quantize(Decimal("0.001"))
        return in_thousandths if inches == in_thousandths else inches.normalize()

    @property
    def kind(self) -> str:
        """Plain, or wound where the single has a weight of its own; and its end, once said."""
        single = self.row.row.single
        kind = "plain" if single.grams_per_metre is None else "wound"
        return f"{kind}, {single.get_end_display()}" if single.end else kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Sleeve:
    """What a sleeve says of a set."""

    string_set: StringSet
    strings: tuple[SleeveString, ...]
    pull: SetPull
    made_on: date
    made_for: str = ""

    @property
    def tuning(self) -> str:
        """The pitches in the order of the courses."""
        return " ".join(one.row.row.pitch for one in self.strings)

    @property
    def row_letters(self) -> Decimal:
        """Points in which the rows of strings are set, so that all of them have room."""
        room = _ROWS_MM / (len(self.strings) + 2) / _ROW_HEIGHT / _POINT_MM
        return round(min(room, Decimal(9)), 1)

    @property
    def note_letters(self) -> Decimal:
        """Points in which the note is set: the largest that leave room for all of it."""
        note = self.string_set.note.splitlines()
        return next((points for points in _LETTERS if _fits(note, points)), _LETTERS[-1])


def sleeve_of(row: StringSet, *, made_on: date, made_for: str = "") -> Sleeve:
    """Gather what the sleeve of a set says, made up on a day, for whom if anybody."""
    pull = pull_of_set(row)
    return Sleeve(
        string_set=row,
        strings=tuple(SleeveString(one) for one in rows_of(row, pull)),
        pull=pull,
        made_on=made_on,
        made_for=made_for.strip()[:MOST_WORDS],
    )


def print_sleeve(sleeve: Sleeve, workshop: Workshop | None) -> bytes:
    """Return the sleeve as PDF, of the same size on A4 and on Letter."""
    size = page_size(workshop.country if workshop else "")
    across, down = PAPERS_MM[size]
    width, height = PANEL + 2 * TAB, FLAP + 2 * PANEL
    context = {
        "sleeve": sleeve,
        "set": sleeve.string_set,
        "shop": workshop,
        "size": size,
        "paper_width": across,
        "paper_height": down,
        "panel": PANEL,
        "flap": FLAP,
        "tab": TAB,
        "width": width,
        "height": height,
        "left": (across - width) / 2,
        "top": (down - height) / 2 - 3,
        "front_end": FLAP + PANEL,
        "right_fold": TAB + PANEL,
        "outline": _outline(),
        "in_pounds": wood_units() == IMPERIAL,
    }
    return write_pdf("inventory/papers/sleeve.html", context)


def _outline() -> str:
    """Return the line to cut along as the points of a polygon, in mm from the upper left."""
    left, right, front, back = TAB, TAB + PANEL, FLAP + PANEL, FLAP + 2 * PANEL
    points = [
        (left + SLANT, Decimal(0)),
        (right - SLANT, Decimal(0)),
        (right, FLAP),
        (right, front),
        (right + TAB, front + SLANT),
        (right + TAB, back - SLANT),
        (right, back),
        (left, back),
        (left - TAB, back - SLANT),
        (left - TAB, front + SLANT),
        (left, front),
        (left, FLAP),
    ]
    return " ".join(f"{across},{down}" for across, down in points)


def _fits(lines: Sequence[str], points: Decimal) -> bool:
    """Say whether lines of a note have room at this size, by the width of an average letter."""
    wide, high = _NOTE_MM
    in_line = wide / (points * _POINT_MM * _LETTER_WIDTH)
    needed = sum(max(1, ceil(len(line) / in_line)) for line in lines)
    return needed * points * _POINT_MM * _LINE_HEIGHT <= high
