"""Record a whole set-up sheet: several measures taken on one instrument at one time."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from shop.models import Build, SetUpReading
from shop.services.record_reading import record_reading


@transaction.atomic
def record_set_up(
    *,
    build: Build,
    values: Mapping[str, Decimal],
    now: datetime,
    user: Any,
    taken_at: datetime | None = None,
    gauge: str = "",
    strings: str = "",
    humidity_percent: int | None = None,
    note: str = "",
) -> list[SetUpReading]:
    """Add a reading for each measure in `values`, in mm or cents, all of them or none.

    Raises Refusal when there is none, or for a value that can't be; its field is the measure.
    """
    if not values:
        raise Refusal("Write down at least one measure.")
    return [
        _read(
            measure,
            build=build,
            value=value,
            now=now,
            user=user,
            taken_at=taken_at,
            gauge=gauge,
            strings=strings,
            humidity_percent=humidity_percent,
            note=note,
        )
        for measure, value in values.items()
    ]


def _read(measure: str, **told: Any) -> SetUpReading:
    try:
        return record_reading(measure=measure, **told)
    except Refusal as refusal:
        raise Refusal(refusal.sentence, field=measure) from None
