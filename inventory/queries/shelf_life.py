"""Stock that expires, or has."""

from datetime import date, timedelta

from inventory.models import Lot
from inventory.queries.wood import stock_rules


def expiring(today: date) -> list[Lot]:
    """Lots with something left that expire within the days of warning, or have; soonest first."""
    until = today + timedelta(days=stock_rules().warn_days)
    rows = Lot.objects.filter(remaining__gt=0, expires_on__lte=until)
    return list(rows.select_related("material", "place").order_by("expires_on", "number"))


def openable() -> list[Lot]:
    """Unopened lots of materials that keep only so long once opened, oldest first."""
    rows = Lot.objects.filter(remaining__gt=0, opened_on=None, material__open_days__isnull=False)
    return list(rows.select_related("material", "place").order_by("received_on", "number"))
