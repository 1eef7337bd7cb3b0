"""Wood and water: density, equilibrium moisture, movement across the grain, meter corrections."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.base.refusals import Refusal

FIBRE_SATURATION = Decimal(30)
"""Percent of moisture below which wood shrinks, unless the species says otherwise (Wood Handbook,
chapter 13: 30 for most, 22 for western redcedar)."""

MOVEMENT_REFERENCE = Decimal(10)
"""Percent of moisture at which sizes are taken for the movement coefficient."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """Outer size of one part in mm; a wedge has its two edges in `thickness` and `thin_edge`."""

    length: Decimal
    width: Decimal
    thickness: Decimal
    thin_edge: Decimal | None = None
    parts: int = 1

    @property
    def mean_thickness(self) -> Decimal:
        """The thickness, or the mean of a wedge's two edges."""
        if self.thin_edge is None:
            return self.thickness
        return (self.thickness + self.thin_edge) / 2

    @property
    def volume(self) -> Decimal:
        """The volume of all parts together, in mm³."""
        return self.length * self.width * self.mean_thickness * self.parts


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterCorrection:
    """What a moisture meter's own sheet says of one species, and of wood that is not as warm.

    There is no general table: `slope` and `offset` (percent of moisture) and `per_degree` (percent
    for one °C above `calibrated_at`) come from the sheet of the meter in use. As they stand here
    they change nothing.
    """

    slope: Decimal = Decimal(1)
    offset: Decimal = Decimal(0)
    per_degree: Decimal = Decimal(0)
    calibrated_at: Decimal = Decimal(20)


def density(grams: Decimal, volume: Decimal) -> Decimal:
    """Return kg/m³ from a mass in g and a volume in mm³, unrounded."""
    if grams <= 0 or volume <= 0:
        raise Refusal("A density needs a mass and every size above 0.", field="grams")
    return grams / volume * 1_000_000


def equilibrium_moisture(celsius: Decimal, humidity: Decimal) -> Decimal:
    """Return the percent of moisture at which wood rests in air of relative `humidity` percent.

    Wood Handbook FPL-GTR-190, equations 4-5, coefficients in °C; the printed table, which goes
    from -1 to 130 °C and up to 95 %, is met within 0.1. No single species lies exactly on it.
    """
    if not 0 <= humidity <= 100:
        raise Refusal("Relative humidity is from 0 to 100 percent.", field="humidity")
    h = humidity / 100
    w = 349 + Decimal("1.29") * celsius + Decimal("0.0135") * celsius**2
    k = Decimal("0.805") + Decimal("0.000736") * celsius - Decimal("0.00000273") * celsius**2
    k1 = Decimal("6.27") - Decimal("0.00938") * celsius - Decimal("0.000303") * celsius**2
    k2 = Decimal("1.91") + Decimal("0.0407") * celsius - Decimal("0.000293") * celsius**2
    bound, twice = k1 * k * h, k1 * k2 * (k * h) ** 2
    return 1800 / w * (k * h / (1 - k * h) + (bound + 2 * twice) / (1 + bound + twice))


def shrinkage_to(
    total: Decimal, moisture: Decimal, saturation: Decimal = FIBRE_SATURATION
) -> Decimal:
    """Return percent of green size lost on drying to `moisture`; `total` is green to ovendry.

    S = total x (F - M) / F below saturation F (Wood Handbook chapter 4, from memory), else none.
    """
    return total * max(saturation - moisture, Decimal(0)) / saturation


def movement_coefficient(total: Decimal, saturation: Decimal = FIBRE_SATURATION) -> Decimal:
    """Return the change of size for one percent of moisture, as a share of the size at 10 %.

    `total` is the shrinkage green to ovendry in percent, radial or tangential. Reproduces the
    coefficients recalled from the Wood Handbook's chapter 13, which is for 6 to 14 % of moisture.
    """
    slope = total / (100 * saturation)
    at_reference = 1 - total / 100 * (saturation - MOVEMENT_REFERENCE) / saturation
    return slope / at_reference


def size_change(
    size: Decimal,
    total: Decimal,
    was: Decimal,
    will_be: Decimal,
    saturation: Decimal = FIBRE_SATURATION,
) -> Decimal:
    """Return how much `size` across the grain grows (above 0) or shrinks, in the unit of `size`.

    `total` is the shrinkage green to ovendry in percent; dD = D x C x (M2 - M1), moistures in
    percent. Water above saturation moves nothing. Beyond 6 to 14 % it is a rough guide only.
    """
    between = min(will_be, saturation) - min(was, saturation)
    return size * movement_coefficient(total, saturation) * between


def corrected_moisture(
    raw: Decimal, correction: MeterCorrection, celsius: Decimal | None = None
) -> Decimal:
    """Return a meter's `raw` percent after temperature, when known, and then species.

    That order (common practice, no source) is for sheets whose species figures hold at
    `calibrated_at`. Never below 0.
    """
    warmer = Decimal(0) if celsius is None else celsius - correction.calibrated_at
    at_calibration = raw - correction.per_degree * warmer
    return max(at_calibration * correction.slope + correction.offset, Decimal(0))
