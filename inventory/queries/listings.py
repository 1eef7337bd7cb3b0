"""Listings of species: what the annotations named in them cover, as far as it was read."""

import re
from functools import cache
from pathlib import Path

from inventory.calc.species import Annotation, read_annotations

FILE = Path(__file__).resolve().parent.parent / "data" / "annotations.csv"
_NAMED = re.compile(r"#\d+")


def annotations_in(listing: str) -> list[Annotation]:
    """Return the annotations that the words of a listing name, in their order and each once."""
    known = _annotations()
    return [known[number] for number in dict.fromkeys(_NAMED.findall(listing)) if number in known]


@cache
def _annotations() -> dict[str, Annotation]:
    return read_annotations(FILE.read_text(encoding="utf-8"))
