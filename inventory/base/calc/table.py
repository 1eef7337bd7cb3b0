"""A plain table of cells, to be written to a file."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

Cell = str | int | Decimal | date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class YearTable:
    """One table: its name, its columns, and rows of as many cells."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
