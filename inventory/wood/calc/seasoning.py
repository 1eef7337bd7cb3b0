"""The *ready* rule: wood has settled when it hardly loses any more, and is near to its rest.

A slow pace alone proves nothing: thick wood is slow long before it is dry. So the pace asked for
falls with thickness, and its weighings and moisture readings must show that it is near to rest.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from inventory.base.calc.steps import as_percent

if TYPE_CHECKING:
    from inventory.wood.calc.drying_curve import Curves

SURE = 0.9
"""Chance of being near to rest from which wood is called ready."""

PACE_THICKNESS_MM = Decimal(20)
"""Up to this thickness the whole tolerance is allowed, beyond it in proportion less."""

SCALE_STEP = Decimal("0.1")
"""What a scale tells apart, in g, unless it is said."""

OVEN_DOUBT = Decimal("0.5")
"""Doubt of an oven-dried sample, in points of moisture (common practice, no source)."""

METER_DOUBT = Decimal(1)
"""Doubt of a meter after its corrections, in points of moisture (common practice, no source)."""

WET_DOUBT = Decimal("0.1")
"""What each point above rest adds to that doubt: meters are made for nearly dry wood."""


@dataclass(frozen=True, slots=True, order=True)
class MassReading:
    """One weighing of a piece, in g."""

    on: date
    grams: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Moisture:
    """Percent of dry mass that is water, by a meter (corrected) or by an oven-dried sample."""

    on: date
    percent: Decimal
    by_oven: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """What is known of a piece beside its masses.

    resting: percent of moisture at which it rests in the shop's air. air_swing: points by which
    that rises and falls over the year. meter_doubt: standard deviation of a meter, in points.
    """

    thickness_mm: Decimal | None = None
    resting: Decimal = Decimal("8.5")
    air_swing: Decimal = Decimal("0.7")
    meter_doubt: Decimal = METER_DOUBT
    moistures: tuple[Moisture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyRule:
    """How still the mass must be, and how near to rest the wood.

    The last `weighings` must lie within `within` of the first of them, less in thick wood.
    Weighings less than `days_apart` after the one before count as one, the later: three on one
    evening prove nothing. Usual values (common practice, no source): a week and 0.2 to 0.5 %.
    near: points of moisture that the wood may be from rest.
    """

    weighings: int = 3
    within: Decimal = Decimal("0.004")
    days_apart: int = 5
    near: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        if self.weighings < 2 or self.within <= 0 or self.days_apart < 0 or self.near <= 0:
            raise ValueError("The rule needs at least two weighings, and tolerances above 0.")

    def within_for(self, thickness_mm: Decimal | None) -> Decimal:
        """Return the tolerance for wood of this thickness; unknown thickness counts as thin."""
        if not thickness_mm or thickness_mm <= PACE_THICKNESS_MM:
            return self.within
        return self.within * PACE_THICKNESS_MM / thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether wood is ready, why, and how far its last masses lie apart (None: too few).

    chance: of being near to rest, as weighings and readings tell; None while the pace forbids it.
    """

    ready: bool
    reason: str
    spread: Decimal | None
    counted: tuple[MassReading, ...]
    chance: float | None = None


DEFAULT_RULE = ReadyRule()
DEFAULT_WOOD = Wood()


def ready_verdict(
    weighings: Sequence[MassReading], rule: ReadyRule = DEFAULT_RULE, wood: Wood = DEFAULT_WOOD
) -> Verdict:
    """Say whether a piece with these weighings, in any order, is ready under `rule`.

    Loads SciPy once the pace allows it.
    """
    counted = counted_weighings(weighings, rule)[-rule.weighings :]
    if len(counted) < rule.weighings:
        return Verdict(ready=False, reason=_too_few(counted, rule), spread=None, counted=counted)
    spread = _spread([weighing.grams for weighing in counted])
    within = rule.within_for(wood.thickness_mm)
    pace = (
        f"The last {rule.weighings} weighings agree within {as_percent(round(spread, 5))}; "
        f"the rule asks for {as_percent(round(within, 5))}."
    )
    if spread > within:
        return Verdict(ready=False, reason=pace, spread=spread, counted=counted)
    chance = _chance_near(weighings, rule, wood)
    return Verdict(
        ready=chance >= SURE,
        reason=f"{pace} {_near_words(chance, weighings, rule, wood)}",
        spread=spread,
        counted=counted,
        chance=chance,
    )


def counted_weighings(weighings: Sequence[MassReading], rule: ReadyRule) -> tuple[MassReading, ...]:
    """Return the weighings that count, oldest first: the latest, and back from it in steps.

    Of two on one day the one given last counts.
    """
    counted: list[MassReading] = []
    for weighing in reversed(daily(weighings)):
        if not counted or (counted[-1].on - weighing.on).days >= rule.days_apart:
            counted.append(weighing)
    return tuple(reversed(counted))


def daily(weighings: Sequence[MassReading]) -> list[MassReading]:
    """Return one weighing a day, oldest first; of two on one day the one given last."""
    return sorted({weighing.on: weighing for weighing in weighings}.values())


def curves_of(
    weighings: Sequence[MassReading], wood: Wood, scale_step: Decimal = SCALE_STEP
) -> "Curves":
    """Return what weighings and readings tell of how the wood dries. Loads SciPy."""
    import numpy as np

    from inventory.wood.calc.drying_curve import Masses, Moistures, Surroundings, learn_curves

    rows = daily(weighings)
    first = rows[0].on
    above = [one.percent - wood.resting for one in wood.moistures]
    return learn_curves(
        Masses(
            days=np.array([(row.on - first).days for row in rows], dtype=float),
            grams=np.array([float(row.grams) for row in rows]),
            step=float(scale_step),
        ),
        Moistures(
            days=np.array([(one.on - first).days for one in wood.moistures], dtype=float),
            above=np.array([float(points) for points in above]),
            doubt=np.array(
                [
                    float(_doubt(one, points, wood))
                    for one, points in zip(wood.moistures, above, strict=True)
                ]
            ),
        ),
        Surroundings(
            half_mm=float(wood.thickness_mm) / 2 if wood.thickness_mm else None,
            resting=float(wood.resting),
            # A swing of so many points either way, as the spread of each of its two waves.
            swing=float(wood.air_swing) / 2**0.5,
        ),
    )


def _doubt(one: Moisture, above: Decimal, wood: Wood) -> Decimal:
    own = OVEN_DOUBT if one.by_oven else wood.meter_doubt + WET_DOUBT * abs(above)
    return max(own, Decimal("0.01"))


def _chance_near(weighings: Sequence[MassReading], rule: ReadyRule, wood: Wood) -> float:
    rows = daily(weighings)
    today = float((rows[-1].on - rows[0].on).days)
    return curves_of(weighings, wood).chance_near(today, float(rule.near))


def _near_words(
    chance: float, weighings: Sequence[MassReading], rule: ReadyRule, wood: Wood
) -> str:
    known = f"{len(daily(weighings))} weighings"
    if wood.moistures:
        readings = len(wood.moistures)
        known += f" and {readings} moisture reading{'' if readings == 1 else 's'}"
    points = f"{rule.near.normalize():f} point{'' if rule.near == 1 else 's'}"
    share = f"{int(100 * chance)} of 100 curves through its {known}"
    rest = f"the {round(wood.resting, 1)} % equilibrium moisture"
    if chance >= SURE:
        return f"In {share} it is within {points} of {rest}."
    return (
        f"Its mass is steady, but it may still be wet: in only {share} it is within {points} of "
        f"{rest}. Measure its moisture, with a meter or an oven-dried sample."
    )


def _spread(masses: list[Decimal]) -> Decimal:
    first = masses[0]
    return max(abs(mass - first) for mass in masses) / first


def _too_few(counted: Sequence[MassReading], rule: ReadyRule) -> str:
    have = f"{len(counted)} weighing{'' if len(counted) == 1 else 's'}"
    return f"{have} at least {rule.days_apart} days apart so far; {rule.weighings} are needed."
