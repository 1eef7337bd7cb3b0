"""What one material line takes from the shelf and costs, its waste rule applied."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.calc.units import kind_of, to_base
from inventory.calc.waste import CutFromLength, Draw, WasteRule, waste_rule
from inventory.refusals import Refusal

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineNeed:
    """A quantity in `unit` and how it is wasted; `rule` is a code of the waste rules.

    A cutting line counts parts of `cut_length_mm`, sawn from lengths of `stock_length_mm`.
    """

    name: str
    quantity: Decimal
    unit: str
    rule: str = "none"
    rate: Decimal = _ZERO
    spares: Decimal = _ZERO
    cut_length_mm: Decimal | None = None
    stock_length_mm: Decimal | None = None
    kerf_mm: Decimal = _ZERO
    least_remnant_mm: Decimal = _ZERO

    @property
    def is_cut(self) -> bool:
        """Say whether the line counts parts that are sawn from a length."""
        return self.rule == "cutting" and bool(self.cut_length_mm and self.stock_length_mm)

    @property
    def kind(self) -> str:
        """The kind of quantity that leaves the shelf."""
        return "length" if self.is_cut else kind_of(self.unit)

    @property
    def net_base(self) -> Decimal:
        """What ends up in the instrument, in base units."""
        if self.is_cut:
            return self.quantity * (self.cut_length_mm or _ZERO)
        return to_base(self.quantity, self.unit)


def draw_at_unit_price(need: LineNeed, price: Decimal, unit: str) -> Draw:
    """Return the draw of `need` where one `unit` of the material costs `price`.

    Quantities of the draw are in base units. Refuses a material kept as another kind of quantity.
    """
    if kind_of(unit) != need.kind:
        raise Refusal(
            f"{need.name} asks for {need.quantity.normalize():f} {need.unit}, but its material is "
            f"kept in {unit}. Give the quantity in a unit of the same kind.",
            field="unit",
        )
    return _rule_of(need).draw(_counted(need), price / to_base(Decimal(1), unit))


def draw_at_net_cost(need: LineNeed, cost: Decimal) -> Draw:
    """Return the draw of `need` where what ends up in the instrument costs `cost` without waste."""
    price = cost / need.net_base if need.net_base else _ZERO
    return _rule_of(need).draw(_counted(need), price)


def _counted(need: LineNeed) -> Decimal:
    return need.quantity if need.is_cut else need.net_base


def _rule_of(need: LineNeed) -> WasteRule:
    cut = None
    if need.cut_length_mm and need.stock_length_mm:
        cut = CutFromLength(
            part=need.cut_length_mm,
            stock=need.stock_length_mm,
            kerf=need.kerf_mm,
            least_remnant=need.least_remnant_mm,
        )
    spares = to_base(need.spares, need.unit)
    return waste_rule(need.rule, rate=need.rate, spares=spares, cut=cut)
