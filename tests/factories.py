"""Valid rows by plain functions: each takes what the test is about and fills in the rest."""

from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import count

from inventory.base.calc.units import base_unit
from inventory.models import CostMethod, Family, KeptAs, Material, Supplier

NOW = datetime(2027, 3, 9, 9, 0, tzinfo=UTC)
TODAY = date(2027, 3, 9)
_serial = count(1)


def make_family(name="Tonewoods"):
    return Family.objects.get_or_create(name=name)[0]


def make_supplier(name="Bramble & Sons Timber", **fields):
    return Supplier.objects.create(name=name, **fields)


def make_material(name="", kept_as=KeptAs.COUNT, **fields):
    fields.setdefault("family", None)
    fields["family"] = fields["family"] or make_family()
    fields.setdefault("unit", base_unit(kept_as))
    fields.setdefault(
        "cost_method", CostMethod.ACTUAL if kept_as == KeptAs.PIECE else CostMethod.FIFO
    )
    fields.setdefault("replacement_price", Decimal("2.00"))
    return Material.objects.create(
        name=name or f"material {next(_serial)}", kept_as=kept_as, **fields
    )
