"""Note what a moisture meter says of a piece."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.calc.units import round_quantity
from inventory.calc.wood import MeterCorrection, corrected_moisture
from inventory.models import Lot, Meter, MeterSpecies, MoistureReading
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
    """Keep the raw percent beside the one corrected as the meter's sheet has it for the species.

    Without a meter nothing is corrected. Raises Refusal for a percent that wood can't have.
    """
    if not 0 <= raw <= 200:
        raise Refusal("Moisture is from 0 to 200 percent of dry mass.", field="raw")
    sheet = _sheet_of(meter, lot) if meter else None
    correction = (
        MeterCorrection(
            slope=sheet.slope,
            offset=sheet.offset,
            per_degree=meter.per_degree,
            calibrated_at=meter.calibrated_at,
        )
        if meter and sheet
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


def _sheet_of(meter: Meter, lot: Lot) -> Meter | MeterSpecies:
    """Return what the meter's sheet says of the wood's species, or of wood at large."""
    return meter.of_species.filter(species=lot.material.species_id).first() or meter
