"""What stock declines to do. Only promises are ever declined: facts are always recorded."""

from collections.abc import Iterable
from decimal import Decimal

from inventory.base.calc.units import from_base, round_quantity
from inventory.base.refusals import Refusal
from inventory.models import Lot, Material


def quantity_in_words(quantity: Decimal, material: Material) -> str:
    """Write a base quantity in the material's own unit, such as `1.05 m`; pieces are counted."""
    shown = f"{round_quantity(from_base(quantity, material.unit)).normalize():f}"
    return shown if material.unit_word == "each" else f"{shown} {material.unit_word}"


class NotEnoughStock(Refusal):
    """A promise for more than is free."""

    def __init__(self, material: Material, wanted: Decimal) -> None:
        free = quantity_in_words(material.free, material)
        super().__init__(
            f"{material}: {free} available, {quantity_in_words(wanted, material)} requested. Order "
            "more, or release another reservation first.",
            field="quantity",
        )
        self.material, self.wanted = material, wanted


class PieceNotFree(Refusal):
    """A promise for a piece that is promised already or not on the shelf."""

    def __init__(self, lot: Lot, why: str) -> None:
        super().__init__(f"{lot.number} {why}. Choose another piece.", field="lot")
        self.lot = lot


def check_stands_in(lot: Lot, material: Material, line: str) -> None:
    """Raise Refusal unless `lot` can be put aside for a `line` that asks for `material`.

    It may be of another material, as long as both are kept by the piece.
    """
    other = next((one for one in (material, lot.material) if not one.is_piece), None)
    if other is not None and lot.material_id != material.pk:
        raise Refusal(
            f"{lot.number} can't be chosen for {line}: {other} is not kept as pieces.",
            field="lot",
        )


def check_quantity(material: Material, quantity: Decimal) -> Decimal:
    """Return `quantity` to the thousandth. Raises Refusal when it can't be one of `material`."""
    tidy = round_quantity(quantity)
    if tidy <= 0:
        raise Refusal("The quantity must be above 0.", field="quantity")
    if material.is_piece and tidy % 1:
        raise Refusal(f"{material} is kept as pieces: enter a whole number.", field="quantity")
    return tidy


def check_in_use(materials: Iterable[Material]) -> None:
    """Raise Refusal where one of `materials` is archived: nobody buys it any more."""
    names = [str(material) for material in materials if material.is_archived]
    if names:
        are = "is" if len(names) == 1 else "are"
        raise Refusal(f"{', '.join(names)} {are} archived: leave out what is no longer used.")
