"""Prices of many materials at once: what was typed, pasted or sent as a file, beside the old."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db.models import QuerySet

from inventory.base.calc.typed import plain_number
from inventory.base.refusals import Refusal
from inventory.models import Material
from inventory.shelf.queries.stock import has_old_price
from inventory.shelf.services.records import NewPrice

MOST_ROWS = 500
LARGEST = Decimal(10) ** 9
DECIMALS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceChange:
    """A material with its prices as they are, and the ones asked for; None leaves one as it is."""

    material: Material
    price: Decimal | None
    realisable: Decimal | None

    @property
    def holds(self) -> bool:
        """Whether the replacement price stays and is only checked anew."""
        return self.price is not None and self.price == self.material.replacement_price

    @property
    def more_percent(self) -> Decimal | None:
        """By how many percent the replacement price differs from the one so far."""
        before = self.material.replacement_price
        return (self.price / before - 1) * 100 if self.price is not None and before else None

    def to_save(self) -> NewPrice:
        """Return what the service takes: it refuses where prices changed since they were read."""
        material = self.material
        return NewPrice(
            material=material,
            price=self.price,
            realisable=self.realisable,
            seen=(material.replacement_price, material.realisable_price),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadPrices:
    """What a table says: the changes, and a sentence for each row that can't be used."""

    changes: tuple[PriceChange, ...]
    problems: tuple[str, ...]


def priced_materials(*, today: date, search: str = "", only: str = "") -> QuerySet[Material]:
    """Return materials in use by name; `only` is `price` for prices to check, or empty.

    Every word of `search` has to be in the name of the material or of its supplier.
    """
    rows = Material.objects.filter(is_archived=False).select_related("family", "supplier")
    for word in search.split():
        rows = rows.filter(name__icontains=word) | rows.filter(supplier__name__icontains=word)
    if only == "price":
        rows = rows.filter(has_old_price(today))
    return rows.order_by("name")


def read_prices(rows: Sequence[Sequence[Any]]) -> ReadPrices:
    """Return what rows of name, replacement price and realisable value change.

    A first row of heads says which column is which; blank rows are passed over. An empty cell
    leaves its price as it is. Raises Refusal where there are too many rows.
    """
    written = [(number, [_words(cell) for cell in row]) for number, row in enumerate(rows, start=1)]
    written = [(number, row) for number, row in written if any(row)]
    if len(written) > MOST_ROWS + 1:
        raise Refusal(f"Send at most {MOST_ROWS} rows at once.", field="pasted")
    places, head = _columns(written[0][1]) if written else ((0, 1, 2), 0)
    told = [(number, [_cell(row, place) for place in places]) for number, row in written[head:]]
    known = _materials_named(cells[0] for _, cells in told)
    changes: dict[int, PriceChange] = {}
    problems = []
    for number, (name, price, realisable) in told:
        try:
            change = _change(known, name, price, realisable)
            if change.material.pk in changes:
                raise Refusal(f"{change.material} is in the table twice.")
        except Refusal as refusal:
            problems.append(f"Row {number}: {refusal.sentence}")
            continue
        if change.price is not None or change.realisable is not None:
            changes[change.material.pk] = change
    return ReadPrices(changes=tuple(changes.values()), problems=tuple(problems))


def _columns(first: Sequence[str]) -> tuple[tuple[int, int, int], int]:
    """Return where name, price and realisable value stand, and how many rows are heads."""
    heads = [cell.strip().casefold() for cell in first]
    name = _place(heads, ("material", "name"))
    if name is None:
        return (0, 1, 2), 0
    realisable = _place(heads, ("realisable",))
    price = _place(heads, ("replacement", "price"))
    missing = len(first)
    return (
        name,
        missing if price is None else price,
        missing if realisable is None else realisable,
    ), 1


def _place(heads: Sequence[str], words: Iterable[str]) -> int | None:
    found = (
        place
        for word in words
        for place, head in enumerate(heads)
        if head.startswith(word) and "checked" not in head
    )
    return next(found, None)


def _cell(row: Sequence[str], place: int) -> str:
    return row[place] if place < len(row) else ""


def _words(cell: Any) -> str:
    """Return a cell as text; what a sheet leaves empty is None, or a number that isn't itself."""
    return "" if cell is None or cell != cell else str(cell).strip()  # noqa: PLR0124


def _materials_named(names: Iterable[str]) -> dict[str, Material]:
    wanted = {name.casefold() for name in names}
    rows = Material.objects.filter(is_archived=False)
    # Folded in Python: SQLite folds the letters of English only.
    keys = [key for key, name in rows.values_list("pk", "name") if name.casefold() in wanted]
    return {row.name.casefold(): row for row in rows.filter(pk__in=keys)}


def _change(known: dict[str, Material], name: str, price: str, realisable: str) -> PriceChange:
    if not name:
        raise Refusal("The name of the material is missing.")
    material = known.get(name.casefold())
    if material is None:
        raise Refusal(f"There is no material “{name}”. Write its name as in the stock list.")
    return PriceChange(material=material, price=_price(price), realisable=_price(realisable))


def _price(typed: str) -> Decimal | None:
    if not typed:
        return None
    try:
        price = Decimal(plain_number(typed))
    except InvalidOperation:
        price = Decimal(-1)
    if price.is_finite() and price != round(price, DECIMALS):
        raise Refusal(f"“{typed}” has more than {DECIMALS} decimals, which no price has.")
    if not price.is_finite() or not 0 <= price < LARGEST:
        raise Refusal(f"“{typed}” is not a price. Write a number such as 12.50.")
    return price
