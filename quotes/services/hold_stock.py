"""Hold stock for a quote until a date; the hold ends by itself."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, Material
from inventory.refusals import Refusal
from inventory.services.promise_stock import promise_stock
from inventory.services.release_promises import release_promises
from quotes.locking import lock_quote
from quotes.models import Quote
from quotes.queries.costing import CostedLine
from quotes.queries.pricing import costed_lines
from quotes.services.lapse_quotes import lapse_quotes
from shop.queries.proposals import proposed_pieces

HOLDABLE = {Quote.State.DRAFT, Quote.State.ISSUED}


@transaction.atomic
def hold_stock(*, quote: Quote, until: date, on: date, now: datetime) -> list[tuple[str, Decimal]]:
    """Put aside what the shelf has for a quote up to `until`; return what is missing, by name.

    Missing quantities are in base units. An earlier hold of the quote is replaced. Raises
    PieceNotFree when a chosen piece is not to be had, and Refusal for a day that is over: then
    nothing changes.
    """
    if until < on:
        raise Refusal("That day is over; give the last day of the hold.", field="until")
    lapse_quotes(on=on, now=now)
    locked = lock_quote(quote)
    if locked.state not in HOLDABLE:
        raise Refusal(f"{locked} is {locked.get_state_display()}; nothing is held for it.")
    lines = [line for line in costed_lines(locked) if line.row.material]
    lock_materials(line.row.material for line in lines if line.row.material)
    release_promises(holder=locked.holder, now=now)
    locked.held_until = until
    locked.save(update_fields=["held_until"])
    missing = [(line.row.name, _hold_line(locked, line, on, now)) for line in lines]
    return [(name, quantity) for name, quantity in missing if quantity > 0]


def _hold_line(quote: Quote, line: CostedLine, on: date, now: datetime) -> Decimal:
    """Promise what there is for one line and return what is not."""
    material = line.row.material
    if material is None:
        return Decimal(0)
    if material.is_piece:
        wanted = int(line.to_draw)
        lots = _pieces(line, material, wanted, on)
        for lot in lots:
            _promise(quote, line, material, Decimal(1), now, lot)
        return Decimal(wanted - len(lots))
    quantity = min(line.to_draw, max(Material.objects.get(pk=material.pk).free, Decimal(0)))
    if quantity > 0:
        _promise(quote, line, material, quantity, now, None)
    return line.to_draw - quantity


def _pieces(line: CostedLine, material: Material, wanted: int, on: date) -> list[Lot]:
    if line.row.lot:
        return [line.row.lot]
    return proposed_pieces(line.row.template_line, material, wanted, on=on)


def _promise(
    quote: Quote,
    line: CostedLine,
    material: Material,
    quantity: Decimal,
    now: datetime,
    lot: Lot | None,
) -> None:
    promise_stock(
        material=material,
        quantity=quantity,
        holder=quote.holder,
        holder_name=f"quote {quote}",
        now=now,
        lot=lot,
        line=line.row.hold_key,
        until=quote.held_until,
    )
