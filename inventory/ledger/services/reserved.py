"""How much of a material open promises hold: the one writer of that copy beside a new promise."""

from decimal import Decimal

from django.db.models import OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.fields import quantity_value
from inventory.models import HOLDS_STOCK, Material, Promise


def count_reserved(material: int) -> None:
    """Write what the promises of `material` (its key) hold. The caller holds its lock."""
    held = Promise.objects.filter(HOLDS_STOCK, material=OuterRef("pk")).order_by()
    total = Subquery(held.values("material").annotate(total=Sum("outstanding")).values("total"))
    nothing = quantity_value(Decimal(0))
    Material.objects.filter(pk=material).update(promised=Coalesce(total, nothing))
