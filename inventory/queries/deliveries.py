"""Deliveries with what they brought and cost."""

from django.db.models import Count, Prefetch, QuerySet, Sum

from inventory.models import Delivery, DeliveryLine, Lot


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
