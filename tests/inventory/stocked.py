"""Stock on the shelf for tests: what came in, by the service that books it in."""

from decimal import Decimal

from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, Lot
from inventory.purchasing.services.deliveries import receive_delivery
from tests.factories import NOW, TODAY, make_material


def stocked(kept_as=KeptAs.COUNT, quantity=10, price="20.00", received_on=TODAY, **fields):
    """Return a material with one delivery of it on the shelf."""
    material = fields.pop("material", None) or make_material(kept_as=kept_as, **fields)
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(price))
    receive_delivery(received_on=received_on, lines=[line], now=NOW)
    material.refresh_from_db()
    return material


def stocked_pieces(count=2, **fields):
    """Return a material kept by the piece, and its lots."""
    material = stocked(KeptAs.PIECE, count, **fields)
    return material, list(Lot.objects.filter(material=material))
