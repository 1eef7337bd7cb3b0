"""Note what a moisture meter says of a piece."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.calc.units import round_quantity
from inventory.calc.wood import MeterCorrection, corrected_moisture
from inventory.models import Lot, Meter, MoistureReading
from inventory.refusals import Refusal


@transaction.atomic
def read_moisture(
    *,
    lot: Lot,
    raw: Decimal,
    on: date,
    meter: Meter | None = None,
    celsius: Decimal | None = None,
) -> MoistureReading:
    """Keep the raw percent beside the one corrected as the meter's own sheet has it.

    Without a meter nothing is corrected. Raises Refusal for a percent that wood can't have.
    """
    if not 0 <= raw <= 200:
        raise Refusal("Moisture is from 0 to 200 percent of dry mass.", field="raw")
    correction = (
        MeterCorrection(
            slope=meter.slope,
            offset=meter.offset,
            per_degree=meter.per_degree,
            calibrated_at=meter.calibrated_at,
        )
        if meter
        else MeterCorrection()
    )
    return MoistureReading.objects.create(
        lot=lot,
        read_on=on,
        meter=meter,
        raw=raw,
        celsius=celsius,
        corrected=round_quantity(corrected_moisture(raw, correction, celsius)),
    )
