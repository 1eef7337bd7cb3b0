"""What stock stands at on a day: cost, lower of cost and realisable, replacement, by family."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from django.db.models import QuerySet, Sum
from django.utils import timezone

from inventory.calc.money import round_money
from inventory.calc.units import from_base
from inventory.calc.valuation import carrying_value
from inventory.models import Family, Material, PriceKind, PriceNote, StockEntry
from inventory.money import home_unit

_ZERO = Decimal(0)
FEW = 500
"""Up to so many materials are asked for by their keys."""
Prices = dict[tuple[int, str], Decimal | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One material on a day: quantity in base units, money to the minor unit.

    `realisable` and `replacement` are None where no price is known; `value` is the lower of cost
    and realisable. Both prices are those noted on or before the day.
    """

    material: Material
    quantity: Decimal
    cost: Decimal
    realisable: Decimal | None
    replacement: Decimal | None

    @property
    def value(self) -> Decimal:
        """What accounts may carry it at (IAS 2 paragraph 9), item by item."""
        return carrying_value(self.cost, self.realisable)


@dataclass(slots=True, kw_only=True)
class FamilyHeld:
    """The materials of one family, and their sums."""

    family: Family
    rows: list[Held] = field(default_factory=list)

    @property
    def cost(self) -> Decimal:
        return sum((row.cost for row in self.rows), _ZERO)

    @property
    def value(self) -> Decimal:
        return sum((row.value for row in self.rows), _ZERO)

    @property
    def replacement(self) -> Decimal:
        return sum((row.replacement or _ZERO for row in self.rows), _ZERO)


def stock_as_of(moment: datetime, family: Family | None = None) -> list[Held]:
    """What the journal says had happened by `moment`, material by material, by family and name.

    Five queries, whatever the length of the journal. What was corrected later still counts as it
    stood, since the correction happened later; so does a price that was noted for a later day.
    """
    entries = StockEntry.objects.filter(happened_at__lte=moment).order_by()
    sums = entries.values_list("material").annotate(Sum("quantity"), Sum("cost"))
    held = {key: (quantity, cost) for key, quantity, cost in sums if quantity or cost}
    prices = _prices_on(timezone.localtime(moment).date(), held)
    materials = _materials(family)
    if len(held) < FEW:
        materials = materials.filter(pk__in=held)
    unit = home_unit()
    return [_held(row, *held[row.pk], unit, prices) for row in materials if row.pk in held]


def stock_now(family: Family | None = None) -> list[Held]:
    """What is on hand now, from the balances: the same figures without reading the journal."""
    unit = home_unit()
    standing = _materials(family).exclude(on_hand=0, book_cost=0)
    return [_held(row, row.on_hand, row.book_cost, unit, {}) for row in standing]


def by_family(rows: Iterable[Held]) -> list[FamilyHeld]:
    """Put `rows` together by family, in the order of the families."""
    families: dict[int, FamilyHeld] = {}
    for row in rows:
        family = row.material.family
        families.setdefault(family.pk, FamilyHeld(family=family)).rows.append(row)
    return list(families.values())


def _prices_on(day: date, held: Collection[int]) -> Prices:
    """By material and kind the price that was the last one noted by `day`; None before the first.

    What was never noted for any day is missing: then the material's own price holds on all days.
    """
    notes = PriceNote.objects.exclude(kind=PriceKind.PAID).order_by("noted_on", "pk")
    if len(held) < FEW:
        notes = notes.filter(material__in=held)
    prices: Prices = {}
    for material, kind, on, price in notes.values_list("material", "kind", "noted_on", "price"):
        known = prices.get((material, kind))
        prices[material, kind] = price if on <= day else known
    return prices


def _materials(family: Family | None) -> QuerySet[Material]:
    """Materials with what a row of the value shows, and each family once however many it has."""
    rows = Material.objects.only(
        "name", "unit", "family", "on_hand", "book_cost", "replacement_price", "realisable_price"
    )
    if family is not None:
        rows = rows.filter(family=family)
    return rows.prefetch_related("family").order_by("family__position", "family__name", "name")


def _held(
    material: Material, quantity: Decimal, cost: Decimal, unit: Decimal, prices: Prices
) -> Held:
    shown = from_base(quantity, material.unit)

    def worth(price: Decimal | None) -> Decimal | None:
        return None if price is None else round_money(price * shown, unit)

    return Held(
        material=material,
        quantity=quantity,
        cost=cost,
        realisable=worth(
            prices.get((material.pk, PriceKind.REALISABLE), material.realisable_price)
        ),
        replacement=worth(
            prices.get((material.pk, PriceKind.REPLACEMENT), material.replacement_price)
        ),
    )
