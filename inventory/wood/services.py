"""Weighings and meter readings recorded and voided; species read in."""

from datetime import date
from decimal import Decimal
from pathlib import Path

from django.db import transaction

from inventory.base.calc.units import round_quantity
from inventory.base.queries import stock_rules
from inventory.base.refusals import Refusal
from inventory.models import Lot, Meter, MeterSpecies, MoistureReading, Piece, Species, Weighing
from inventory.wood.calc.seasoning import Verdict, ready_verdict
from inventory.wood.calc.species import SpeciesFacts, read_species
from inventory.wood.calc.wood import MeterCorrection, corrected_moisture
from inventory.wood.queries import ready_rule, weighings_of, wood_of


@transaction.atomic
def weigh_piece(*, lot: Lot, grams: Decimal, on: date) -> Verdict:
    """Note a mass in g; wood that seasons is *ready* once it is slow and near to its rest.

    The piece's own mass follows the latest weighing. What was ready once stays so: the maker
    decides. Raises Refusal for what is no piece, or a mass of nothing. Loads SciPy.
    """
    if not lot.material.is_piece:
        raise Refusal(f"{lot.number} is not a piece: only pieces can be weighed.")
    if grams <= 0:
        raise Refusal("The mass must be above 0.", field="grams")
    Weighing.objects.create(lot=lot, weighed_on=on, grams=grams)
    weighings = weighings_of(lot)
    piece = Piece.objects.select_for_update().get(pk=lot.pk)
    piece.mass_g = max(weighings, key=lambda weighing: weighing.on).grams
    verdict = _settle(piece)
    piece.save(update_fields=["mass_g", "is_ready", "ready_on"])
    return verdict


def _settle(piece: Piece) -> Verdict:
    """Set whether `piece` is ready, and since when; what was ready once stays so."""
    weighings, rules = weighings_of(piece.lot), stock_rules()
    verdict = ready_verdict(weighings, ready_rule(rules), wood_of(piece, rules))
    if verdict.ready and not piece.is_ready:
        last_read = piece.lot.moisture_readings.filter(is_crossed_out=False).last()
        days = [verdict.counted[-1].on, *([last_read.read_on] if last_read else [])]
        piece.is_ready, piece.ready_on = True, max(days)
    return verdict


@transaction.atomic
def void_weighing(*, weighing: Weighing) -> Weighing:
    """The piece weighs again what the latest other weighing said, if there is one.

    Whether it is ready stays as it is: the maker decides. Raises Refusal the second time.
    """
    fresh = Weighing.objects.select_for_update().select_related("lot").get(pk=weighing.pk)
    if fresh.is_crossed_out:
        raise Refusal("This weighing is already void.")
    fresh.is_crossed_out = True
    fresh.save(update_fields=["is_crossed_out"])
    rest = weighings_of(fresh.lot)
    if rest:
        last = max(rest, key=lambda each: each.on)
        Piece.objects.filter(pk=fresh.lot_id).update(mass_g=last.grams)
    return fresh


@transaction.atomic
def record_moisture(
    *,
    lot: Lot,
    raw: Decimal,
    on: date,
    meter: Meter | None = None,
    celsius: Decimal | None = None,
    by_oven: bool = False,
) -> MoistureReading:
    """Keep the raw percent beside the one corrected as the meter's sheet has it for the species.

    Without a meter nothing is corrected. Wood that is slow already may be *ready* by it. Raises
    Refusal for a percent that wood can't have, or for an oven-dried sample with a meter.
    """
    if by_oven and meter:
        raise Refusal(
            "An oven-dried sample needs no meter: choose one or the other.", field="meter"
        )
    if not 0 <= raw <= 200:
        raise Refusal("Moisture must be from 0 to 200 percent of dry mass.", field="raw")
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
    reading = MoistureReading.objects.create(
        lot=lot,
        read_on=on,
        meter=meter,
        raw=raw,
        celsius=celsius,
        is_by_oven=by_oven,
        corrected=round_quantity(corrected_moisture(raw, correction, celsius)),
    )
    piece = Piece.objects.select_for_update().filter(pk=lot.pk, is_ready=False).first()
    if piece and _settle(piece).ready:
        piece.save(update_fields=["is_ready", "ready_on"])
    return reading


def _sheet_of(meter: Meter, lot: Lot) -> Meter | MeterSpecies:
    """Return what the meter's sheet says of the wood's species, or of wood at large."""
    return meter.of_species.filter(species=lot.material.species_id).first() or meter


@transaction.atomic
def void_reading(*, reading: MoistureReading) -> MoistureReading:
    """Leave the reading out of what is said of the piece. Raises Refusal the second time."""
    fresh = MoistureReading.objects.select_for_update().get(pk=reading.pk)
    if fresh.is_crossed_out:
        raise Refusal("This reading is already void.")
    fresh.is_crossed_out = True
    fresh.save(update_fields=["is_crossed_out"])
    return fresh


FILE = Path(__file__).resolve().parent.parent / "data" / "species.csv"


@transaction.atomic
def load_species(*, text: str | None = None) -> int:
    """Add every species of `text` (the shipped file without it) that is not there by name.

    What a maker has changed stays. Returns how many were added.
    """
    facts = read_species(FILE.read_text(encoding="utf-8") if text is None else text)
    known = set(Species.objects.values_list("name", flat=True))
    new = [one for one in facts if one.trade_name not in known]
    Species.objects.bulk_create(_row(one) for one in new)
    return len(new)


def _row(facts: SpeciesFacts) -> Species:
    return Species(
        name=facts.trade_name,
        botanical_name=facts.botanical_name,
        density=facts.air_dry_density,
        shrinkage_radial=facts.shrinkage.radial,
        shrinkage_tangential=facts.shrinkage.tangential,
        fibre_saturation=facts.fibre_saturation,
        dust=facts.caution,
        listing=facts.listing.words,
        listing_read_on=facts.listing.read_on,
        listed_since=facts.listing.since,
        source=_source(facts),
        is_verified=not facts.unverified,
    )


def _source(facts: SpeciesFacts) -> str:
    lines = [f"Density: {facts.density_status}."] if facts.air_dry_density else []
    if facts.shrinkage.radial:
        lines.append(f"Shrinkage: {facts.shrinkage.source}, {facts.shrinkage.status}.")
    if facts.listing.since:
        lines.append(f"Listed since: {facts.listing.since_status}.")
    lines += [f"Listing: {facts.listing.status}.", f"Dust: {facts.dust_status}."]
    return "\n".join(lines)
