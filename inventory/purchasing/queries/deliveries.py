"""Deliveries with what they brought and cost."""

from django.db.models import Count, Exists, OuterRef, Prefetch, QuerySet, Subquery, Sum
from django.db.models.expressions import NegatedExpression
from django.db.models.functions import Coalesce

from inventory.ledger.queries import is_taken_back
from inventory.models import (
    Delivery,
    DeliveryLine,
    Lot,
    Material,
    PriceNote,
    Reason,
    StockEntry,
)


def delivery_list() -> QuerySet[Delivery]:
    """Deliveries, the latest first, each with `line_count`, `landed` cost and `is_taken_back`."""
    # Each sum is a question of its own: so only the rows of one page are added up.
    lines = DeliveryLine.objects.filter(delivery=OuterRef("pk")).order_by().values("delivery")
    rows = Delivery.objects.select_related("supplier").annotate(
        line_count=Coalesce(Subquery(lines.annotate(number=Count("pk")).values("number")), 0),
        landed=Subquery(lines.annotate(sum=Sum("landed_cost")).values("sum")),
        is_taken_back=_taken_back(),
    )
    return rows.order_by("-received_on", "-pk")


def delivery_in_full() -> QuerySet[Delivery]:
    """Deliveries with their lines, each line's material and lots, and `is_taken_back`."""
    lots = Prefetch("lots", queryset=Lot.objects.order_by("pk"))
    lines = DeliveryLine.objects.select_related("material").prefetch_related(lots)
    rows = Delivery.objects.annotate(is_taken_back=_taken_back())
    return rows.select_related("supplier", "bill").prefetch_related(
        Prefetch("lines", queryset=lines)
    )


def price_history(material: Material) -> list[PriceNote]:
    """Every price noted of `material`, the oldest first, with its supplier.

    Nothing was bought at one that `is_taken_back`: its delivery was booked by mistake.
    """
    notes = material.price_notes.annotate(is_taken_back=is_taken_back())
    return list(notes.select_related("supplier"))


def received_by(delivery: Delivery) -> list[StockEntry]:
    """What `delivery` put on the shelf and was not corrected since, in the order it was booked."""
    rows = _standing().filter(lot__delivery_line__delivery=delivery)
    return list(rows.select_related("material", "lot").order_by("pk"))


def _standing() -> QuerySet[StockEntry]:
    rows = StockEntry.objects.filter(reason=Reason.RECEIVED)
    return rows.exclude(followed_by__reason=Reason.CORRECTED)


def still_stands() -> Exists:
    """Deliveries of which something was booked and not reversed."""
    return Exists(_standing().filter(lot__delivery_line__delivery=OuterRef("pk")))


def _taken_back() -> NegatedExpression:
    return ~still_stands()
