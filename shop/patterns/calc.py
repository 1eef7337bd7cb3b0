"""Specifications, options of a pattern, and what one material line takes and costs."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol, TypeVar

from inventory.base.calc.units import kind_of, to_base
from inventory.base.refusals import Refusal
from inventory.shelf.calc import CutFromLength, DrawWithWaste, WasteRule, waste_rule


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecRow:
    """One row of a specification: nut width, 28.6, mm."""

    name: str
    value: str = ""
    unit: str = ""

    @property
    def words(self) -> str:
        """The value with its unit; nothing where the row is empty."""
        return f"{self.value} {self.unit}".strip() if self.value else ""

    def as_data(self) -> dict[str, str]:
        """Return the row as JSON holds it."""
        return {"name": self.name, "value": self.value, "unit": self.unit}


def rows_from(data: Iterable[Mapping[str, str]]) -> tuple[SpecRow, ...]:
    """Read rows back that `SpecRow.as_data` wrote."""
    return tuple(SpecRow(name=row["name"], value=row["value"], unit=row["unit"]) for row in data)


class Named(Protocol):
    """A row that has a name and says something."""

    @property
    def name(self) -> str: ...
    @property
    def words(self) -> str: ...


AnyRow = TypeVar("AnyRow", bound=Named)


def with_replaced(rows: Iterable[AnyRow], new: Iterable[AnyRow]) -> tuple[AnyRow, ...]:
    """Return `rows` with each of `new` in the place of its namesake, or after the others.

    A new row that says nothing leaves its namesake out. Rows without a name stay.
    """
    by_name = {_key(row.name): row for row in new}
    placed = [by_name.pop(_key(row.name), row) if row.name else row for row in rows]
    return tuple(row for row in [*placed, *by_name.values()] if row.words)


def without_lines_of(text: str, names: Iterable[str]) -> str:
    """Return `text` without the lines that begin with one of `names` and a colon."""
    keys = {_key(name) for name in names}
    kept = (
        line
        for line in text.splitlines()
        if ":" not in line or _key(line.partition(":")[0]) not in keys
    )
    return "\n".join(kept)


def _key(name: str) -> str:
    return " ".join(name.casefold().split())


def on_as_a_rule(options: Iterable[tuple[str, bool, str]]) -> list[str]:
    """Return the names that are on unless said otherwise.

    options: name, whether it is on, and what it is one of (empty: a switch by itself). Of a choice
    the first that is on counts, or else the first.
    """
    rows = list(options)
    choices: dict[str, list[tuple[str, bool]]] = {}
    for name, is_on, one_of in rows:
        if one_of:
            choices.setdefault(one_of, []).append((name, is_on))
    taken = {
        next((n for n, is_on in members if is_on), members[0][0]) for members in choices.values()
    }
    return [name for name, is_on, one_of in rows if (name in taken if one_of else is_on)]


def check_choices(
    on: Collection[str], one_of: Mapping[str, str], *, field: str = "options"
) -> None:
    """Refuse unless of every choice exactly one option is on.

    one_of: option → the choice it belongs to, for those that belong to one.
    """
    for choice in dict.fromkeys(one_of.values()):
        members = [name for name, each in one_of.items() if each == choice]
        if sum(name in on for name in members) != 1:
            raise Refusal(f"{choice}: choose exactly one of {_either(members)}.", field=field)


def with_missing(on: Iterable[str], one_of: Mapping[str, str], usual: Collection[str]) -> list[str]:
    """Return `on`, and for every choice that it leaves open the one that is usual."""
    named = list(on)
    open_choices = set(one_of.values()) - {one_of[name] for name in named if name in one_of}
    return named + [name for name in usual if one_of.get(name) in open_choices]


def switched(on: Collection[str], name: str, one_of: Mapping[str, str]) -> list[str]:
    """Return `on` with one option switched; of a choice it takes the place of the one on."""
    if name in on:
        return [option for option in on if option != name]
    choice = one_of.get(name)
    kept = [option for option in on if choice is None or one_of.get(option) != choice]
    return [*kept, name]


def _either(names: Collection[str]) -> str:
    *before, last = (f"“{name}”" for name in names)
    return f"{', '.join(before)} or {last}" if before else last


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


def draw_at_unit_price(need: LineNeed, price: Decimal, unit: str) -> DrawWithWaste:
    """Return the draw of `need` where one `unit` of the material costs `price`.

    Quantities of the draw are in base units. Refuses a material kept as another kind of quantity.
    """
    if kind_of(unit) != need.kind:
        raise Refusal(
            f"{need.name} needs {need.quantity.normalize():f} {need.unit}, but its material "
            f"is kept in {unit}. Enter the quantity in a unit of the same kind.",
            field="unit",
        )
    return _rule_of(need).draw(_counted(need), price / to_base(Decimal(1), unit))


def draw_at_net_cost(need: LineNeed, cost: Decimal) -> DrawWithWaste:
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
