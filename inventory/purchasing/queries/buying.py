"""What to buy: plans and low levels, less what is on hand and on order."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import ExpressionWrapper, F, Q, Sum

from inventory.base.calc.units import from_base
from inventory.fields import QuantityField
from inventory.models import (
    HOLDS_STOCK,
    Material,
    Need,
    OrderLine,
    PriceBreak,
    Promise,
    Reason,
    StockEntry,
    Supplier,
)
from inventory.purchasing.calc.reorder import QuantityPrice, price_at, whole_order

_ZERO = Decimal(0)
Key = tuple[int, str]
"""A material and a holder."""
Line = tuple[str, str]
"""A holder and the holder's own key of a line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HolderDemand:
    """What one holder still takes of a material, in base units."""

    holder: str
    holder_name: str
    quantity: Decimal
    wanted_by: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Buy:
    """One material to buy; quantities in base units, `price` for one unit as shown.

    `quantity` is `short` in whole packs and at least the least order. `price` is the supplier's
    at that quantity, or the replacement price in home money; `in_supplier_money` says which.
    """

    material: Material
    wanted: tuple[HolderDemand, ...]
    on_order: Decimal
    short: Decimal
    quantity: Decimal
    price: Decimal | None
    in_supplier_money: bool
    order_by: date | None

    @property
    def is_suppliers_price(self) -> bool:
        """Whether `price` is in the money that the supplier's sheet is written in."""
        supplier = self.material.supplier
        return self.in_supplier_money or not (supplier and supplier.currency)

    @property
    def is_for_level(self) -> bool:
        """Whether the reorder level is what counts: it covers what holders take, and more."""
        return (self.material.reorder_level or _ZERO) > self.for_plans

    @property
    def for_plans(self) -> Decimal:
        """What all holders still take together."""
        return sum((one.quantity for one in self.wanted), _ZERO)


def what_to_buy() -> list[Buy]:
    """Every material that is short of its plans or its level, by supplier and name.

    Six queries, whatever the number of builds, materials and orders.
    """
    wanted, ordered = wanted_by_material(), _on_order()
    touched = Q(pk__in=[*wanted, *ordered]) | Q(reorder_level__gt=F("on_hand") - F("unfit"))
    rows = Material.objects.filter(touched, is_archived=False).select_related("supplier", "family")
    breaks = _breaks()
    found = [
        _buy(row, wanted.get(row.pk, ()), ordered.get(row.pk, _ZERO), breaks.get(row.pk, []))
        for row in rows
    ]
    return sorted((buy for buy in found if buy.short > 0), key=_by_supplier)


def wanted_by_material() -> dict[int, tuple[HolderDemand, ...]]:
    """What every holder still takes, by material: needs less draws, and promises without a need.

    What is drawn or promised in place of what a line needs is wanted instead of it.
    """
    needs = list(Need.objects.select_related("material").order_by("pk"))
    needed = {(need.holder, need.line): need.material for need in needs if need.line}
    taken = _taken(needed)
    still: dict[Key, HolderDemand] = {}
    for need in needs:
        key = (need.material_id, need.holder)
        before = still[key].quantity if key in still else -taken.get(key, _ZERO)
        still[key] = HolderDemand(
            holder=need.holder,
            holder_name=need.holder_name,
            quantity=before + need.quantity,
            wanted_by=need.wanted_by,
        )
    _add_promises(still, needed)
    grouped: dict[int, list[HolderDemand]] = defaultdict(list)
    for (material, _), one in still.items():
        if one.quantity > 0:
            grouped[material].append(one)
    return {material: tuple(ones) for material, ones in grouped.items()}


def _taken(needed: Mapping[Line, Material]) -> dict[Key, Decimal]:
    """What holders with needs have drawn, less what came back, by material and holder.

    What was drawn on a line in place of its material counts as that material.
    """
    drawn = (Reason.DRAWN, Reason.RETURNED)
    rows = (
        StockEntry.objects.filter(
            Q(reason__in=drawn) | Q(reason=Reason.CORRECTED, about__reason__in=drawn),
            holder__in=Need.objects.values("holder"),
        )
        .order_by()
        .values("material", "material__kept_as", "holder", "line")
        .annotate(quantity=Sum("quantity"))
    )
    taken: dict[Key, Decimal] = defaultdict(Decimal)
    for row in rows:
        taken[_meant_by(row, needed), row["holder"]] -= row["quantity"]
    return taken


def _meant_by(row: Mapping[str, Any], needed: Mapping[Line, Material]) -> int:
    """Return the material that a line needs, if `row` is kept alike, else the row's own."""
    asked = needed.get((row["holder"], row["line"]))
    alike = asked is not None and asked.kept_as == row["material__kept_as"]
    return asked.pk if asked is not None and alike else int(row["material"])


def _add_promises(still: dict[Key, HolderDemand], needed: Mapping[Line, Material]) -> None:
    """Add promises without a need, and turn needs to what was put aside in their place."""
    known = set(still)
    rows = (
        Promise.objects.filter(outstanding__gt=0)
        .order_by()
        .values("material", "material__kept_as", "holder", "holder_name", "line")
        .annotate(whole=Sum("outstanding"), kept=Sum("outstanding", filter=HOLDS_STOCK))
    )
    for row in rows:
        own, meant = (row["material"], row["holder"]), (_meant_by(row, needed), row["holder"])
        if own != meant:
            still[meant] = _with_more(still[meant], -(row["kept"] or _ZERO))
            nothing = replace(still[meant], quantity=_ZERO)
            still[own] = _with_more(still.get(own, nothing), row["kept"] or _ZERO)
        elif own not in known:
            nothing = HolderDemand(
                holder=row["holder"],
                holder_name=row["holder_name"],
                quantity=_ZERO,
                wanted_by=None,
            )
            still[own] = _with_more(still.get(own, nothing), row["whole"])


def _with_more(wanted: HolderDemand, more: Decimal) -> HolderDemand:
    return replace(wanted, quantity=wanted.quantity + more)


def _on_order() -> dict[int, Decimal]:
    """What was ordered, or stands on a draft, and has not come, by material."""
    rows = OrderLine.objects.filter(order__closed_on=None, received__lt=F("quantity"))
    to_come = ExpressionWrapper(F("quantity") - F("received"), output_field=QuantityField())
    sums = rows.order_by().values("material").annotate(open=Sum(to_come))
    return {row["material"]: row["open"] for row in sums}


def _breaks() -> dict[int, list[PriceBreak]]:
    grouped: dict[int, list[PriceBreak]] = defaultdict(list)
    for row in PriceBreak.objects.order_by("least"):
        grouped[row.material_id].append(row)
    return grouped


def _buy(
    material: Material,
    wanted: tuple[HolderDemand, ...],
    on_order: Decimal,
    breaks: list[PriceBreak],
) -> Buy:
    plans = sum((one.quantity for one in wanted), _ZERO)
    # A level covers all use of the lead time, also that of plans: on top, it would count twice.
    kept = max(material.reorder_level or _ZERO, plans)
    short = max(kept - material.fit - on_order, _ZERO)
    quantity = whole_order(
        short,
        least_order=breaks[0].least if breaks else _ZERO,
        pack=material.pack or (Decimal(1) if material.kept_as in {"piece", "count"} else _ZERO),
    )
    price = price_at(quantity, [QuantityPrice(row.least, row.price) for row in breaks])
    return Buy(
        material=material,
        wanted=wanted,
        on_order=on_order,
        short=short,
        quantity=quantity,
        price=price if price is not None else material.replacement_price,
        in_supplier_money=price is not None,
        order_by=_order_by(material, wanted),
    )


def _order_by(material: Material, wanted: tuple[HolderDemand, ...]) -> date | None:
    """The last day to order on, for the first holder whose day is known."""
    days = [one.wanted_by for one in wanted if one.wanted_by]
    lead = material.lead_time
    return min(days) - timedelta(days=lead) if days and lead is not None else None


def _by_supplier(buy: Buy) -> tuple[bool, str, str]:
    supplier: Supplier | None = buy.material.supplier
    return (supplier is None, supplier.name if supplier else "", buy.material.name)


def cost_of(buy: Buy) -> Decimal | None:
    """What the order of `buy` comes to, unrounded, in the money of its price."""
    if buy.price is None:
        return None
    return buy.price * from_base(buy.quantity, buy.material.unit)
