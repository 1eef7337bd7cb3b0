"""What one row of stock is."""

from inventory.models.answer import KeptAnswer
from inventory.models.delivery import Delivery, DeliveryLine, ShareBy
from inventory.models.journal import Reason, StockEntry
from inventory.models.lot import SHELF_STATES, Lot, Piece, PieceState
from inventory.models.material import CostMethod, Family, KeptAs, Material, Place, Supplier
from inventory.models.promise import Promise, PromiseUse
from inventory.models.series import Series
from inventory.models.workshop import Workshop

__all__ = [
    "SHELF_STATES",
    "CostMethod",
    "Delivery",
    "DeliveryLine",
    "Family",
    "KeptAnswer",
    "KeptAs",
    "Lot",
    "Material",
    "Piece",
    "PieceState",
    "Place",
    "Promise",
    "PromiseUse",
    "Reason",
    "Series",
    "ShareBy",
    "StockEntry",
    "Supplier",
    "Workshop",
]
