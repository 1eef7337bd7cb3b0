"""The sheet to count by: what to look for, place by place, with room to write."""

from collections.abc import Sequence
from itertools import groupby

from inventory.base.documents import page_size, write_pdf
from inventory.base.wood_units import size_words
from inventory.models import Count, CountLine, Workshop

NO_PLACE = "No place noted"


def count_sheet(*, count: Count, lines: Sequence[CountLine], workshop: Workshop | None) -> bytes:
    """Return the sheet as PDF; `lines` lie in the order of their places.

    A blind count hides what the books say until it is closed.
    """
    context = {
        "count": count,
        "places": [
            (place, [(line, sizes_of(line)) for line in of_place])
            for place, of_place in groupby(lines, key=_place_name)
        ],
        "shows_books": count.shows_books,
        "shop": workshop,
        "size": page_size(workshop.country if workshop else ""),
    }
    return write_pdf("inventory/papers/count.html", context)


def sizes_of(line: CountLine) -> str:
    """Return the length, width and thickness of a piece in the shop's unit, or nothing."""
    if not line.material.is_piece:
        return ""
    piece = line.lot.piece
    sizes = [piece.length_mm, piece.width_mm, piece.thickness_mm]
    return size_words(*sizes) if all(sizes) else ""


def _place_name(line: CountLine) -> str:
    return line.lot.place.name if line.lot.place else NO_PLACE
