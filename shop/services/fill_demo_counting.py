"""Fill in the demo workshop's counts: one closed with its differences, one under way."""

import tomllib
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.calc.units import to_base
from inventory.models import Count, Place
from inventory.services.close_count import close_count
from inventory.services.note_count import note_count
from inventory.services.start_count import start_count
from shop.demo import DEMO

Row = dict[str, Any]


@transaction.atomic
def fill_demo_counting(*, now: datetime, user: Any = None) -> list[Count]:
    """Return the counts; what moved after the first was frozen must be filled in after it."""
    data = tomllib.loads((DEMO / "stock.toml").read_text(), parse_float=Decimal)
    return [_count(row, now, user) for row in data["counts"]]


def _count(row: Row, now: datetime, user: Any) -> Count:
    count = start_count(
        name=row["name"],
        place=Place.objects.get(name=row["place"]),
        is_blind=row.get("is_blind", False),
        now=now - timedelta(days=row["days_ago"], hours=1),
    )
    found = {name: (Decimal(by), reason, note) for name, by, reason, note in row["found"]}
    for line in count.lines.select_related("material", "lot")[: row.get("done")]:
        by, reason, note = found.pop(line.material.name, (Decimal(0), "", ""))
        counted = line.expected + to_base(by, line.material.unit)
        note_count(line=line, counted=counted, reason=reason, note=note)
    if "closed" in row:
        close_count(count=count, now=now - timedelta(days=row["closed"]), user=user)
    return count
