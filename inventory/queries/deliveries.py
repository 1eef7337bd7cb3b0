"""Deliveries with what they brought and cost."""

from django.db.models import Count, Prefetch, QuerySet, Sum

from inventory.models import Delivery, DeliveryLine, Lot, Reason, StockEntry


def delivery_list() -> QuerySet[Delivery]:
    """Deliveries, the latest first, each with `line_count` and its `landed` cost."""
    rows = Delivery.objects.select_related("supplier").annotate(
        line_count=Count("lines"), landed=Sum("lines__landed_cost")
    )
    return rows.order_by("-received_on", "-pk")


def delivery_in_full() -> QuerySet[Delivery]:
    """Deliveries with their lines, and each line's material and lots."""
    lots = Prefetch("lots", queryset=Lot.objects.order_by("pk"))
    lines = DeliveryLine.objects.select_related("material").prefetch_related(lots)
    return Delivery.objects.select_related("supplier").prefetch_related(
        Prefetch("lines", queryset=lines)
    )


def received_by(delivery: Delivery) -> list[StockEntry]:
    """What `delivery` put on the shelf and was not corrected since, in the order it was booked."""
    rows = StockEntry.objects.filter(lot__delivery_line__delivery=delivery, reason=Reason.RECEIVED)
    standing = rows.exclude(followed_by__reason=Reason.CORRECTED)
    return list(standing.select_related("material", "lot").order_by("pk"))
