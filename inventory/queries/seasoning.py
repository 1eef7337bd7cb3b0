"""How far a piece has settled: verdict, forecast, movement, and the picture's readings."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Max, Q

from inventory.calc.drying import Forecast, forecast_ready
from inventory.calc.seasoning import Verdict, Weighing, ready_verdict
from inventory.calc.wood import (
    equilibrium_moisture,
    movement_coefficient,
    shrinkage_to,
    size_change,
)
from inventory.models import Lot, MoistureReading, Piece
from inventory.models import Weighing as WeighingRow
from inventory.queries.wood import ready_rule, stock_rules, weighings_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """How a width across the grain will change from its last moisture to the shop's air, in mm."""

    words: str
    millimetres: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrinking:
    """How much narrower than green wood is once it rests in the shop's air, in percent."""

    words: str
    percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Seasoning:
    """Everything known of a piece's water. Moistures are percent of dry mass.

    `noted` and `readings` have what was crossed out too; nothing else counts it.
    """

    weighings: list[Weighing]
    noted: list[WeighingRow]
    readings: list[MoistureReading]
    verdict: Verdict
    forecast: Forecast
    resting_moisture: Decimal
    movements: list[Movement]
    shrinkings: list[Shrinking]


def seasoning_of(piece: Piece) -> Seasoning:
    """How far `piece` has settled, and what the shop's air will do to it. Loads SciPy."""
    rules = stock_rules()
    weighings = weighings_of(piece.lot)
    readings = list(piece.lot.moisture_readings.select_related("meter"))
    standing = [reading for reading in readings if not reading.is_crossed_out]
    resting = equilibrium_moisture(rules.shop_celsius, rules.shop_humidity)
    rule = ready_rule(rules)
    return Seasoning(
        weighings=weighings,
        noted=list(piece.lot.weighings.all()),
        readings=readings,
        verdict=ready_verdict(weighings, rule),
        forecast=forecast_ready(weighings, rule=rule),
        resting_moisture=resting,
        movements=_movements(piece, standing, resting),
        shrinkings=[
            Shrinking(words=words, percent=shrinkage_to(total, resting))
            for words, total in _shrinkages(piece).items()
        ],
    )


def _movements(piece: Piece, readings: list[MoistureReading], resting: Decimal) -> list[Movement]:
    if not readings or piece.width_mm is None:
        return []
    now = readings[-1].corrected
    return [
        Movement(
            words=words,
            millimetres=size_change(piece.width_mm, movement_coefficient(total), now, resting),
        )
        for words, total in _shrinkages(piece).items()
    ]


def _shrinkages(piece: Piece) -> dict[str, Decimal]:
    """Percent lost from green to ovendry across a quartersawn and a flatsawn piece, where known."""
    species = piece.lot.material.species
    if species is None:
        return {}
    known = {
        "quartersawn": species.shrinkage_radial,
        "flatsawn": species.shrinkage_tangential,
    }
    return {words: total for words, total in known.items() if total}


def seasoning_pieces() -> list[Lot]:
    """Pieces on the shelf that still season, oldest first, each with its `last_weighed` day."""
    rows = Lot.objects.filter(remaining__gt=0, piece__state="seasoning")
    return list(
        rows.select_related("material", "piece", "place")
        .annotate(
            last_weighed=Max("weighings__weighed_on", filter=Q(weighings__is_crossed_out=False))
        )
        .order_by("received_on", "number")
    )
