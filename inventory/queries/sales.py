"""What was sold from the rack, and what it fetched beyond its cost."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Sum
from django.db.models.functions import Coalesce

from inventory.fields import money_value, quantity_value
from inventory.models import Reason, Sale

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """One sale: `quantity` in base units, money home and net of tax."""

    sale: Sale
    quantity: Decimal
    cost: Decimal

    @property
    def gain(self) -> Decimal:
        """What it fetched beyond its cost; below 0 when it fetched less."""
        return self.sale.price - self.cost


def sales_between(first: datetime, last: datetime) -> list[Sold]:
    """Sales that happened from `first` to `last` and stand as of `last`, the oldest first."""
    rows = Sale.objects.filter(entry__happened_at__range=(first, last))
    taken_back = rows.filter(
        entry__followed_by__reason=Reason.CORRECTED, entry__followed_by__happened_at__lte=last
    )
    rows = rows.exclude(pk__in=taken_back.values("pk")).select_related(
        "entry__material", "entry__lot"
    )
    rows = rows.annotate(
        more=Coalesce(Sum("entry__together__quantity"), quantity_value(_ZERO)),
        dearer=Coalesce(Sum("entry__together__cost"), money_value(_ZERO)),
    )
    return [
        Sold(
            sale=sale,
            quantity=-sale.entry.quantity - sale.more,
            cost=-sale.entry.cost - sale.dearer,
        )
        for sale in rows.order_by("entry__happened_at", "pk")
    ]
