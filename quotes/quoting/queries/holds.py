"""What is held for quotes, and what of it the shelf no longer keeps."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.ledger.refusals import quantity_in_words
from inventory.models import Lot, Material, Promise
from inventory.reservations.queries import lacking_of
from quotes.models import Quote, QuoteMaterial


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldStock:
    """Stock held for one row of a quote: a piece, or a quantity in base units.

    `lacking` of it was taken for something else, or is no longer fit.
    """

    name: str
    material: Material
    lot: Lot | None
    quantity: Decimal
    lacking: Decimal

    @property
    def words(self) -> str:
        """What is still held, such as `T-0412, Red spruce top` or `1.176 m of Fretwire`."""
        if self.lot:
            return f"{self.lot.number}, {self.material}"
        return (
            f"{quantity_in_words(self.quantity - self.lacking, self.material)} of {self.material}"
        )

    @property
    def lost(self) -> str:
        """What was held and has gone, such as `T-0412 is rejected`; nothing where all is there."""
        if not self.lacking:
            return ""
        if self.lot:
            return f"{self.lot.number} is {self.lot.piece.get_state_display()}"
        return f"{quantity_in_words(self.lacking, self.material)} of {self.material} was taken"


def held_by(quotes: Iterable[Quote]) -> dict[int, list[HeldStock]]:
    """Return what is held for each of `quotes`, by its key; three queries for any number."""
    holders = {quote.holder: quote.pk for quote in quotes}
    promises = list(
        Promise.objects.filter(holder__in=holders, outstanding__gt=0).select_related(
            "material", "lot__piece"
        )
    )
    if not promises:
        return {}
    lacking = lacking_of(promises)
    rows = QuoteMaterial.objects.filter(quote__in=holders.values()).only("name")
    names = {row.hold_key: row.name for row in rows}
    held = defaultdict(list)
    for promise in promises:
        held[holders[promise.holder]].append(
            HeldStock(
                name=names.get(promise.line, str(promise.material)),
                material=promise.material,
                lot=promise.lot,
                quantity=promise.outstanding,
                lacking=lacking.get(promise.pk, Decimal(0)),
            )
        )
    return dict(held)


def lost_of(held: Iterable[HeldStock]) -> str:
    """Say in one line what of a hold has gone; nothing where all of it is there."""
    return ", ".join(one.lost for one in held if one.lost)
