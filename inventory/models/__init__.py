"""What one row of stock is."""

from inventory.models.answer import KeptAnswer
from inventory.models.bill import Bill
from inventory.models.counting import Count, CountLine, DifferenceReason
from inventory.models.delivery import Delivery, DeliveryLine, ShareBy
from inventory.models.journal import Reason, StockEntry
from inventory.models.lot import SHELF_STATES, VERDICTS, Lot, Piece, PieceState
from inventory.models.material import CostMethod, Family, KeptAs, Material, Place, Supplier
from inventory.models.need import Need
from inventory.models.order import Credit, Order, OrderLine, PriceBreak, PriceKind, PriceNote
from inventory.models.papers import Paper, PaperKind, Photo
from inventory.models.promise import HOLDS_STOCK, Promise, PromiseUse
from inventory.models.recipe import Recipe, RecipePart
from inventory.models.rules import StockRules, TakeFirst
from inventory.models.sale import Sale
from inventory.models.series import Series
from inventory.models.species import Species
from inventory.models.strings import SetString, SingleString, StringEnd, StringSet
from inventory.models.water import Meter, MeterSpecies, MoistureReading, Weighing
from inventory.models.workshop import Workshop

__all__ = [
    "HOLDS_STOCK",
    "SHELF_STATES",
    "VERDICTS",
    "Bill",
    "CostMethod",
    "Count",
    "CountLine",
    "Credit",
    "Delivery",
    "DeliveryLine",
    "DifferenceReason",
    "Family",
    "KeptAnswer",
    "KeptAs",
    "Lot",
    "Material",
    "Meter",
    "MeterSpecies",
    "MoistureReading",
    "Need",
    "Order",
    "OrderLine",
    "Paper",
    "PaperKind",
    "Photo",
    "Piece",
    "PieceState",
    "Place",
    "PriceBreak",
    "PriceKind",
    "PriceNote",
    "Promise",
    "PromiseUse",
    "Reason",
    "Recipe",
    "RecipePart",
    "Sale",
    "Series",
    "SetString",
    "ShareBy",
    "SingleString",
    "Species",
    "StockEntry",
    "StockRules",
    "StringEnd",
    "StringSet",
    "Supplier",
    "TakeFirst",
    "Weighing",
    "Workshop",
]
