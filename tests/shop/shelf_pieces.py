"""A shelf of spruce for tests: an old set, a short one, and a dear one that is younger."""

from datetime import date
from decimal import Decimal

from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs
from inventory.purchasing.services.deliveries import receive_delivery
from tests.factories import make_material
from tests.shop.factories import NOW, make_template, make_template_line


def make_tops():
    """Return a material with three pieces: 432 and 412 mm of 2025, 440 mm of 2026."""
    material = make_material("Spruce top, mandolin", KeptAs.PIECE)
    receive_tops(material, date(2025, 5, 3), "64.00", 432, 412)
    receive_tops(material, date(2026, 1, 5), "75.00", 440)
    return material


def line_for(material):
    """Return a template's line that asks for 420 × 150 mm of spruce."""
    sizes = {"piece_length_mm": 420, "piece_width_mm": 150}
    return make_template_line(make_template(), "Top", material=material, wood="spruce", **sizes)


def receive_tops(material, on, price, *lengths):
    """Book in ready sets, 150 mm wide, of these lengths in mm."""
    pieces = [
        PieceFacts(length_mm=Decimal(length), width_mm=Decimal(150), parts=2, is_ready=True)
        for length in lengths
    ]
    line = NewLine(
        material=material, quantity=Decimal(len(pieces)), price=Decimal(price), pieces=pieces
    )
    receive_delivery(received_on=on, lines=[line], now=NOW)
