"""Weighings, the shop's rule for ready wood, what follows from both, and listings."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path

from django.db.models import OuterRef, QuerySet, Subquery

from inventory.base.queries import stock_rules
from inventory.models import Lot, MoistureReading, Piece, StockRules, Weighing
from inventory.wood.calc.drying import Forecast, forecast_ready
from inventory.wood.calc.seasoning import (
    MassReading,
    Moisture,
    ReadyRule,
    Verdict,
    Wood,
    ready_verdict,
)
from inventory.wood.calc.species import Annotation, read_annotations
from inventory.wood.calc.wood import (
    FIBRE_SATURATION,
    Size,
    density,
    equilibrium_moisture,
    shrinkage_to,
    size_change,
)


def ready_rule(rules: StockRules | None = None) -> ReadyRule:
    """When wood counts as ready in this shop."""
    rules = rules or stock_rules()
    return ReadyRule(
        weighings=rules.ready_weighings,
        within=rules.ready_within / 100,
        days_apart=rules.ready_days_apart,
        near=rules.ready_near,
    )


def resting_moisture(rules: StockRules) -> Decimal:
    """Percent of moisture at which wood rests in the shop's air."""
    return equilibrium_moisture(rules.shop_celsius, rules.shop_humidity)


def wood_of(
    piece: Piece, rules: StockRules, readings: Iterable[MoistureReading] | None = None
) -> Wood:
    """What is known of a piece beside its masses; `readings` where they are at hand."""
    if readings is None:
        readings = piece.lot.moisture_readings.filter(is_crossed_out=False)
    return Wood(
        thickness_mm=piece.thickness_mm,
        resting=resting_moisture(rules),
        air_swing=rules.air_swing,
        meter_doubt=rules.meter_doubt,
        moistures=tuple(
            Moisture(on=one.read_on, percent=one.corrected, by_oven=one.is_by_oven)
            for one in readings
        ),
    )


def weighings_of(lot: Lot) -> list[MassReading]:
    """The weighings of a piece that stand, oldest first."""
    rows = (
        lot.weighings.filter(is_crossed_out=False)
        .order_by("weighed_on", "pk")
        .values_list("weighed_on", "grams")
    )
    return [MassReading(on, grams) for on, grams in rows]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeChange:
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

    weighings: list[MassReading]
    noted: list[Weighing]
    readings: list[MoistureReading]
    wood: Wood
    verdict: Verdict
    forecast: Forecast
    resting_moisture: Decimal
    movements: list[SizeChange]
    shrinkings: list[Shrinking]


def seasoning_of(piece: Piece) -> Seasoning:
    """How far `piece` has settled, and what the shop's air will do to it. Loads SciPy."""
    rules = stock_rules()
    weighings = weighings_of(piece.lot)
    readings = list(piece.lot.moisture_readings.select_related("meter"))
    standing = [reading for reading in readings if not reading.is_crossed_out]
    resting = resting_moisture(rules)
    rule, wood = ready_rule(rules), wood_of(piece, rules, standing)
    return Seasoning(
        weighings=weighings,
        noted=list(piece.lot.weighings.all()),
        readings=readings,
        wood=wood,
        verdict=ready_verdict(weighings, rule, wood),
        forecast=forecast_ready(weighings, rule=rule, wood=wood),
        resting_moisture=resting,
        movements=_movements(piece, standing, resting),
        shrinkings=[
            Shrinking(words=words, percent=shrinkage_to(total, resting, _saturation(piece)))
            for words, total in _shrinkages(piece).items()
        ],
    )


def _movements(piece: Piece, readings: list[MoistureReading], resting: Decimal) -> list[SizeChange]:
    if not readings or piece.width_mm is None:
        return []
    now, width = readings[-1].corrected, piece.width_mm
    return [
        SizeChange(
            words=words,
            millimetres=size_change(width, total, now, resting, _saturation(piece)),
        )
        for words, total in _shrinkages(piece).items()
    ]


def _saturation(piece: Piece) -> Decimal:
    species = piece.lot.material.species
    return species.fibre_saturation if species else FIBRE_SATURATION


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


def seasoning_pieces() -> QuerySet[Lot]:
    """Pieces on the shelf that still season, oldest first, each with its `last_weighed` day."""
    rows = Lot.objects.filter(remaining__gt=0, piece__state="seasoning")
    weighed = Weighing.objects.filter(lot=OuterRef("pk"), is_crossed_out=False)
    last = weighed.order_by("-weighed_on").values("weighed_on")[:1]
    return (
        rows.select_related("material", "piece", "place")
        .annotate(last_weighed=Subquery(last))
        .order_by("received_on", "number")
    )


FILE = Path(__file__).resolve().parent.parent / "data" / "annotations.csv"
_NAMED = re.compile(r"#\d+")


def annotations_in(listing: str) -> list[Annotation]:
    """Return the annotations that the words of a listing name, in their order and each once."""
    known = _annotations()
    return [known[number] for number in dict.fromkeys(_NAMED.findall(listing)) if number in known]


@cache
def _annotations() -> dict[str, Annotation]:
    return read_annotations(FILE.read_text(encoding="utf-8"))


def density_of(piece: Piece) -> Decimal | None:
    """Density of a piece in kg/m³ from its mass and sizes, or None while one is missing."""
    sizes = (piece.length_mm, piece.width_mm, piece.thickness_mm)
    if piece.mass_g is None or None in sizes:
        return None
    length, width, thickness = (size for size in sizes if size is not None)
    size = Size(length=length, width=width, thickness=thickness, parts=piece.parts)
    return density(piece.mass_g, size.volume)
