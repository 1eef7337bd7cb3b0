"""Record what was measured as an instrument was set up."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.calc.units import round_quantity
from inventory.refusals import Refusal
from shop.models import Build, Measure, SetUpReading

CENTS = {Measure.INTONATION_TREBLE, Measure.INTONATION_BASS}
MOST_CENTS = 100


@transaction.atomic
def record_reading(
    *,
    build: Build,
    measure: str,
    value: Decimal,
    now: datetime,
    user: Any,
    taken_at: datetime | None = None,
    gauge: str = "",
    strings: str = "",
    humidity_percent: int | None = None,
    note: str = "",
) -> SetUpReading:
    """Add a reading of `value` mm, or cents for intonation, which may be below 0.

    Raises Refusal for a length below 0, or an intonation beyond a semitone.
    """
    if measure in CENTS:
        if abs(value) > MOST_CENTS:
            raise Refusal(f"An intonation lies within {MOST_CENTS} cents.", field="value")
    elif value < 0:
        raise Refusal("A length is 0 mm or more.", field="value")
    return SetUpReading.objects.create(
        build=build,
        measure=measure,
        value=round_quantity(value),
        gauge=gauge.strip(),
        strings=strings.strip(),
        humidity_percent=humidity_percent,
        note=note.strip(),
        taken_at=taken_at or now,
        recorded_at=now,
        taken_by=user,
    )
