"""What stock stands at on a day: cost, lower of cost and realisable, replacement, by family."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db.models import Sum

from inventory.calc.money import round_money
from inventory.calc.units import from_base
from inventory.calc.valuation import carrying_value
from inventory.models import Material, StockEntry
from inventory.money import home_unit

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One material on a day: quantity in base units, money to the minor unit.

    `realisable` and `replacement` are None where no price is known; `value` is the lower of cost
    and realisable. Both prices are today's: past ones are not kept.
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

    name: str
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


def stock_as_of(moment: datetime) -> list[Held]:
    """What the journal says had happened by `moment`, material by material, by family and name.

    Three queries, whatever the length of the journal. What was corrected later still counts as it
    stood, since the correction happened later.
    """
    sums = (
        StockEntry.objects.filter(happened_at__lte=moment)
        .order_by()
        .values("material")
        .annotate(quantity=Sum("quantity"), cost=Sum("cost"))
    )
    held = {row["material"]: (row["quantity"], row["cost"]) for row in sums}
    return _rows({key: pair for key, pair in held.items() if any(pair)})


def stock_now() -> list[Held]:
    """What is on hand now, from the balances: the same figures without reading the journal."""
    rows = Material.objects.exclude(on_hand=0, book_cost=0)
    held = {row.pk: (row.on_hand, row.book_cost) for row in rows.only("on_hand", "book_cost")}
    return _rows(held)


def by_family(rows: Iterable[Held]) -> list[FamilyHeld]:
    """Put `rows` together by family, in the order of the families."""
    families: dict[int, FamilyHeld] = {}
    for row in rows:
        family = row.material.family
        families.setdefault(family.pk, FamilyHeld(name=family.name)).rows.append(row)
    return list(families.values())


def _rows(held: dict[int, tuple[Decimal, Decimal]]) -> list[Held]:
    materials = Material.objects.select_related("family").order_by(
        "family__position", "family__name", "name"
    )
    if len(held) < 500:
        materials = materials.filter(pk__in=held)
    unit = home_unit()
    return [_held(row, *held[row.pk], unit) for row in materials if row.pk in held]


def _held(material: Material, quantity: Decimal, cost: Decimal, unit: Decimal) -> Held:
    shown = from_base(quantity, material.unit)

    def worth(price: Decimal | None) -> Decimal | None:
        return None if price is None else round_money(price * shown, unit)

    return Held(
        material=material,
        quantity=quantity,
        cost=cost,
        realisable=worth(material.realisable_price),
        replacement=worth(material.replacement_price),
    )
