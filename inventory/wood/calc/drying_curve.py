"""How wood dries, as far as its weighings tell: a posterior over curves of the slab in moving air.

A curve is what a slab loses by diffusion with surface resistance (`slab.py`), on top of a yearly
swing of the air that it follows as far as its pace lets it. For each pace, resistance and age of
the drying, and each scatter of the weighings, mass and swing are linear and normal, so that their
posterior is exact; those four are weighed on a grid. Moisture readings are rows of the same kind.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from inventory.wood.calc.slab import roots, weights

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

SECONDS_A_DAY = 86_400
DAYS_A_YEAR = 365.25

USUAL_DIFFUSION = 6e-11
"""m²/s across the grain below saturation; species and moisture spread it by `DIFFUSION_DOUBT`."""

DIFFUSION_DOUBT = 1.2
"""Standard deviation of the log: a factor of 3.3 either way (common practice, no source)."""

USUAL_RESISTANCE, RESISTANCE_DOUBT = 4.0, 1.2
"""C of a slab 20 mm thick, in proportion to thickness, and the doubt of its log (no source)."""

UNKNOWN_HALF_MM, UNKNOWN_DOUBT = 12.0, 1.6
"""Half the thickness where it is not known, and what that adds to the doubt of the log pace."""

USUAL_LOSS, LOSS_DOUBT = 0.05, 0.15
"""Part of its first mass that wood is to lose, before it tells."""

USUAL_SCATTER, SCATTER_DOUBT = 3e-4, 0.8
"""Scatter of a weighing as a part of the mass, and the doubt of its log."""

AGES = (0.0, 0.2, 0.7)
"""How far the drying was when the first mass was taken, in times of the last pace."""

SCATTERS = np.array([5e-5, 1e-4, 2e-4, 4e-4, 8e-4, 1.6e-3, 3.2e-3])
PACES, RESISTANCES = 36, 8
MOST_MASSES = 60
FLAT = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Masses:
    """Weighings: days from the first of them and g; `step` is what the scale tells apart, in g."""

    days: Floats
    grams: Floats
    step: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Moistures:
    """Readings: days from the first weighing, points above equilibrium, and their doubt (sd)."""

    days: Floats
    above: Floats
    doubt: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What is known beside the scale.

    half_mm: half the thickness, or None. resting: percent of moisture at which the wood rests.
    swing: points by which that moves over a year, up and down (standard deviation of the guess).
    """

    half_mm: float | None
    resting: float
    swing: float


@dataclass(frozen=True)
class Cells:
    """Kinds of curve on the grid: pace of the last tail a day, roots and weights, and age."""

    pace: Floats
    resistance: Floats
    age: Floats
    prior: Floats

    @cached_property
    def _modes(self) -> tuple[Floats, Floats]:
        kinds, place = np.unique(self.resistance, return_inverse=True)
        found = roots(kinds)
        speed = (found / found[:, :1]) ** 2
        return speed[place], weights(kinds, found)[place]

    def left(self, days: Floats) -> Floats:
        """Return the part still to lose, of what was to be lost at the first mass: (cells, days).

        Days before the first mass are taken as that day.
        """
        speed, weight = self._modes
        begun = weight * np.exp(-speed * self.age[:, None])
        so_far = self.pace[:, None] * np.maximum(days, 0)
        terms = np.exp(-speed[:, :, None] * so_far[:, None, :])
        return np.asarray((begun[:, :, None] * terms).sum(axis=1) / begun.sum(axis=1)[:, None])

    def following(self, days: Floats) -> Floats:
        """Return how wood follows a yearly swing of 1, as cosine and sine: (cells, days, 2)."""
        speed, weight = self._modes
        turn = 2 * np.pi / DAYS_A_YEAR
        own = self.pace[:, None] * speed
        answer = (weight * own / (own + 1j * turn)).sum(axis=1)
        wave = answer[:, None] * np.exp(1j * turn * days)
        return np.stack([wave.real, wave.imag], axis=-1)

    def design(self, days: Floats) -> Floats:
        """Return what multiplies the coefficients of a mass: (cells, days, 4)."""
        lost = self.left(days)[..., None] - 1
        return np.concatenate([np.ones_like(lost), lost, self.following(days)], axis=-1)

    def above_rest(self, days: Floats) -> Floats:
        """Return what multiplies the coefficients of what is above the mass at rest."""
        left = self.left(days)[..., None]
        return np.concatenate([np.zeros_like(left), left, self.following(days)], axis=-1)

    def some(self, places: Indices) -> "Cells":
        """Return the cells at these places."""
        return Cells(
            pace=self.pace[places],
            resistance=self.resistance[places],
            age=self.age[places],
            prior=self.prior[places],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What was weighed and read, added up for each cell, before a scatter of weighings is chosen.

    gram, pull, misfit: sums over the `number` of weighings of row by row, row by deviation and
    deviation squared, where deviations are those from `centre`. exact: 1 / variance of each
    scatter. known, known_pull, known_misfit: the same sums of readings and of what is believed
    beforehand. prior: log chance of each cell and scatter.
    """

    number: int
    gram: Floats
    pull: Floats
    misfit: Floats
    exact: Floats
    known: Floats
    known_pull: Floats
    known_misfit: Floats
    prior: Floats
    centre: Floats

    def some(self, places: Indices, scatters: Indices) -> "Evidence":
        """Return the evidence on the cells and scatters at these places."""
        return Evidence(
            number=self.number,
            gram=self.gram[places],
            pull=self.pull[places],
            misfit=self.misfit[places],
            exact=self.exact[scatters],
            known=self.known[places],
            known_pull=self.known_pull[places],
            known_misfit=self.known_misfit[places],
            prior=self.prior[np.ix_(places, scatters)],
            centre=self.centre,
        )


@dataclass(frozen=True)
class Curves:
    """What the weighings tell: the chance of each cell and scatter, and the normal within it.

    Coefficients are first mass, loss still to come then, and the swing's two waves, all as parts
    of the first mass that was weighed (`unit` g): (cells, scatters, 4).
    """

    cells: Cells
    scatters: Floats
    chance: Floats
    mean: Floats
    spread: Floats
    unit: float
    dry: float
    evidence: Evidence

    def chance_near(self, day: float, points: float) -> float:
        """Return the chance that the wood is then at most `points` of moisture from its rest."""
        part = points / 100 * self.dry
        row = self.cells.above_rest(np.array([day]))[:, 0]
        middle = np.einsum("gsi,gi->gs", self.mean, row)
        doubt = np.sqrt(np.einsum("gsij,gi,gj->gs", self.spread, row, row)) + 1e-12
        within = ndtr((part - middle) / doubt) - ndtr((-part - middle) / doubt)
        return float((self.chance * within).sum())

    def drawn(self, number: int, seed: int) -> "DrawnCurves":
        """Draw curves at random from the posterior."""
        random = np.random.default_rng(seed)
        flat = self.chance.ravel()
        picked = random.choice(len(flat), size=number, p=flat / flat.sum())
        cell, scatter = np.unravel_index(picked, self.chance.shape)
        lower = np.linalg.cholesky(self.spread[cell, scatter] + 1e-18 * np.eye(4))
        normal = random.standard_normal((number, 4))
        return DrawnCurves(
            cells=self.cells.some(cell),
            coefficients=self.mean[cell, scatter] + np.einsum("kij,kj->ki", lower, normal),
            scatter=self.scatters[scatter],
            unit=self.unit,
            dry=self.dry,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnCurves:
    """Curves drawn from the posterior; masses are parts of `unit` g, `dry` is the dry part."""

    cells: Cells
    coefficients: Floats
    scatter: Floats
    unit: float
    dry: float

    def points_left(self, days: Floats) -> Floats:
        """Return points of moisture above rest (below 0: under it): (curves, days)."""
        rows = self.cells.above_rest(days)
        return np.asarray(100 * np.einsum("gni,gi->gn", rows, self.coefficients) / self.dry)

    def masses(self, days: Floats) -> Floats:
        """Return masses as parts of the first: (curves, days)."""
        return np.asarray((self.cells.design(days) * self.coefficients[:, None, :]).sum(axis=-1))

    @property
    def final(self) -> Floats:
        """The mass that each curve tends to in the year's mean air, as a part of the first."""
        return np.asarray(self.coefficients[:, 0] - self.coefficients[:, 1])


def learn_curves(masses: Masses, moistures: Moistures, around: Surroundings) -> Curves:
    """Return what `masses` and `moistures` tell of how the wood dries, around what is known."""
    if len(masses.days) > MOST_MASSES:
        some = np.unique(np.linspace(0, len(masses.days) - 1, MOST_MASSES).astype(int))
        masses = Masses(days=masses.days[some], grams=masses.grams[some], step=masses.step)
    slowest, fastest = np.log(1 / 6000), np.log(2)
    rough = _cells(around, np.linspace(slowest, fastest, PACES), np.geomspace(0.1, 200, 5))
    found = _learned(masses, moistures, around, rough)
    likely = found.chance.sum(axis=1) > found.chance.sum(axis=1).max() * 1e-4
    paces, kinds = np.log(rough.pace[likely]), rough.resistance[likely]
    step = (fastest - slowest) / (PACES - 1)
    fine = _cells(
        around,
        np.linspace(paces.min() - step, paces.max() + step, PACES),
        np.geomspace(kinds.min() / 2, kinds.max() * 2, RESISTANCES),
    )
    return _learned(masses, moistures, around, fine)


def _cells(around: Surroundings, log_paces: Floats, kinds: Floats) -> Cells:
    """Lay out the grid with what is believed of each cell before the first weighing (logs)."""
    pace, kind, age = (
        part.ravel() for part in np.meshgrid(log_paces, np.log(kinds), AGES, indexing="ij")
    )
    half = UNKNOWN_HALF_MM if around.half_mm is None else around.half_mm
    doubt = DIFFUSION_DOUBT if around.half_mm is not None else DIFFUSION_DOUBT + UNKNOWN_DOUBT
    first = roots(kinds, 1)[:, 0]
    tail = 2 * np.interp(kind, np.log(kinds), np.log(first))
    usual = np.log(USUAL_DIFFUSION * SECONDS_A_DAY / (half / 1000) ** 2) + tail
    usual_kind = np.log(USUAL_RESISTANCE * half / 10)
    prior = -(((pace - usual) / doubt) ** 2 + ((kind - usual_kind) / RESISTANCE_DOUBT) ** 2) / 2
    return Cells(pace=np.exp(pace), resistance=np.exp(kind), age=age, prior=prior)


def _learned(masses: Masses, moistures: Moistures, around: Surroundings, cells: Cells) -> Curves:
    unit = float(masses.grams[0])
    dry = float(masses.grams[-1]) / unit / (1 + around.resting / 100)
    scatters = np.sqrt(SCATTERS**2 + (masses.step / unit) ** 2 / 12)
    told = _evidence(masses, moistures, around, cells, scatters=scatters, dry=dry)
    exact = told.exact
    gram = told.gram[:, None] * exact[:, None, None] + told.known[:, None]
    pull = told.pull[:, None] * exact[:, None] + told.known_pull[:, None]
    spread = np.asarray(np.linalg.inv(gram), dtype=np.float64)
    mean = np.einsum("gsij,gsj->gsi", spread, pull)
    misfit = told.misfit[:, None] * exact + told.known_misfit[:, None]
    misfit = misfit - (mean * pull).sum(axis=-1)
    logs = told.prior - (misfit + np.linalg.slogdet(gram)[1]) / 2
    logs = logs + told.number * np.log(exact) / 2
    chance = np.exp(logs - logs.max())
    return Curves(
        cells=cells,
        scatters=scatters,
        chance=chance / chance.sum(),
        mean=mean + told.centre,
        spread=spread,
        unit=unit,
        dry=dry,
        evidence=told,
    )


def _evidence(
    masses: Masses,
    moistures: Moistures,
    around: Surroundings,
    cells: Cells,
    *,
    scatters: Floats,
    dry: float,
) -> Evidence:
    centre = np.array([1.0, USUAL_LOSS, 0, 0])
    swing = max(around.swing, 1e-3) / 100 * dry
    prior_spread = np.array([FLAT, LOSS_DOUBT, swing, swing]) ** 2
    log_scatter = -((np.log(SCATTERS / USUAL_SCATTER) / SCATTER_DOUBT) ** 2) / 2
    rows = cells.design(masses.days)
    off = masses.grams / masses.grams[0] - rows @ centre
    read = cells.above_rest(moistures.days)
    part, doubt = dry / 100 * moistures.above, dry / 100 * moistures.doubt
    read_off = (part - read @ centre) / doubt
    read = read / doubt[:, None]
    return Evidence(
        number=len(masses.days),
        gram=np.einsum("gni,gnj->gij", rows, rows),
        pull=np.einsum("gni,gn->gi", rows, off),
        misfit=(off**2).sum(axis=1),
        exact=1 / scatters**2,
        known=np.einsum("gni,gnj->gij", read, read) + np.diag(1 / prior_spread),
        known_pull=np.einsum("gni,gn->gi", read, read_off),
        known_misfit=(read_off**2).sum(axis=1),
        prior=log_scatter + cells.prior[:, None],
        centre=centre,
    )
