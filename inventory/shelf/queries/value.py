"""What stock stands at on a day, and what was sold of it."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from django.db.models import QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from inventory.base.calc.money import round_money
from inventory.base.calc.units import from_base
from inventory.base.queries import home_minor_unit
from inventory.fields import money_value, quantity_value
from inventory.ledger.calc.valuation import carrying_value
from inventory.ledger.queries import is_taken_back
from inventory.models import Family, Material, PriceKind, PriceNote, Reason, Sale, StockEntry

_ZERO = Decimal(0)
FEW = 500
"""Up to so many materials are asked for by their keys."""
Prices = dict[tuple[int, str], Decimal | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockValue:
    """One material on a day: quantity in base units, money to the minor unit.

    `realisable` and `replacement` are None where no price is known; `value` is the lower of cost
    and realisable. Both prices are those noted on or before the day; `realisable_price` is of one.
    """

    material: Material
    quantity: Decimal
    cost: Decimal
    realisable: Decimal | None
    replacement: Decimal | None
    realisable_price: Decimal | None = None

    @property
    def value(self) -> Decimal:
        """What accounts may carry it at (IAS 2 paragraph 9), item by item."""
        return carrying_value(self.cost, self.realisable)


@dataclass(slots=True, kw_only=True)
class FamilyHeld:
    """The materials of one family, and their sums."""

    family: Family
    rows: list[StockValue] = field(default_factory=list)

    @property
    def cost(self) -> Decimal:
        return sum((row.cost for row in self.rows), _ZERO)

    @property
    def value(self) -> Decimal:
        return sum((row.value for row in self.rows), _ZERO)

    @property
    def replacement(self) -> Decimal:
        return sum((row.replacement or _ZERO for row in self.rows), _ZERO)


def stock_as_of(moment: datetime, family: Family | None = None) -> list[StockValue]:
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
    minor_unit = home_minor_unit()
    return [_held(row, *held[row.pk], minor_unit, prices) for row in materials if row.pk in held]


def stock_now(family: Family | None = None) -> list[StockValue]:
    """What is on hand now, from the balances: the same figures without reading the journal."""
    minor_unit = home_minor_unit()
    standing = _materials(family).exclude(on_hand=0, book_cost=0)
    return [_held(row, row.on_hand, row.book_cost, minor_unit, {}) for row in standing]


def by_family(rows: Iterable[StockValue]) -> list[FamilyHeld]:
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
    notes = (
        PriceNote.objects.exclude(kind=PriceKind.PAID)
        .exclude(is_taken_back())
        .order_by("noted_on", "pk")
    )
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
    material: Material, quantity: Decimal, cost: Decimal, minor_unit: Decimal, prices: Prices
) -> StockValue:
    shown = from_base(quantity, material.unit)

    def worth(price: Decimal | None) -> Decimal | None:
        return None if price is None else round_money(price * shown, minor_unit)

    realisable = prices.get((material.pk, PriceKind.REALISABLE), material.realisable_price)
    return StockValue(
        material=material,
        quantity=quantity,
        cost=cost,
        realisable_price=realisable,
        realisable=worth(realisable),
        replacement=worth(
            prices.get((material.pk, PriceKind.REPLACEMENT), material.replacement_price)
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """One sale: `quantity` in base units, money home and net of tax."""

    sale: Sale
    quantity: Decimal
    cost: Decimal

    @property
    def gain(self) -> Decimal:
        """What it fetched beyond its cost; below 0 when it fetched less."""
        return self.sale.price - self.cost


def sales_between(first: datetime, last: datetime) -> list[Sold]:
    """Sales that happened from `first` to `last` and stand as of `last`, the oldest first."""
    rows = Sale.objects.filter(entry__happened_at__range=(first, last))
    taken_back = rows.filter(
        entry__followed_by__reason=Reason.CORRECTED, entry__followed_by__happened_at__lte=last
    )
    rows = rows.exclude(pk__in=taken_back.values("pk")).select_related(
        "entry__material", "entry__lot"
    )
    rows = rows.annotate(
        more=Coalesce(Sum("entry__together__quantity"), quantity_value(_ZERO)),
        dearer=Coalesce(Sum("entry__together__cost"), money_value(_ZERO)),
    )
    return [
        Sold(
            sale=sale,
            quantity=-sale.entry.quantity - sale.more,
            cost=-sale.entry.cost - sale.dearer,
        )
        for sale in rows.order_by("entry__happened_at", "pk")
    ]
