"""Set-up readings recorded, one by one or as a sheet."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.base.calc.units import round_quantity
from inventory.base.people import Person, who
from inventory.base.refusals import Refusal
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
    user: Person,
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
            raise Refusal(f"Intonation must be within {MOST_CENTS} cents.", field="value")
    elif value < 0:
        raise Refusal("A length must be 0 mm or more.", field="value")
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
        taken_by=who(user),
    )


@transaction.atomic
def record_set_up(
    *,
    build: Build,
    values: Mapping[str, Decimal],
    now: datetime,
    user: Person,
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
        raise Refusal("Enter at least one reading.")
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
