"""Papers that travel with wood, from the board to all that is cut from it."""

from inventory.models import Lot, Paper

DEEPEST = 8
"""Cuts of cuts of cuts: deeper than any board goes."""


def line_of(lot: Lot) -> list[int]:
    """Keys of `lot` and of everything it was cut from, itself first."""
    line = [lot.pk]
    source = lot.cut_from_id
    while source is not None and len(line) < DEEPEST:
        line.append(source)
        source = Lot.objects.filter(pk=source).values_list("cut_from", flat=True).first()
    return line


def papers_of(lot: Lot) -> list[Paper]:
    """Papers of `lot` and of what it was cut from."""
    return list(Paper.objects.filter(lot__in=line_of(lot)).select_related("lot"))
