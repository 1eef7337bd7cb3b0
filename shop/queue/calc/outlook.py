"""The queue's answer: for each build a likely plan, and its days with their chances."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shop.queue.calc.checking import check_queue
from shop.queue.calc.dispatch import AT_ONCE, BY_HANDS, BY_THING, Chances, Layout, dispatch
from shop.queue.calc.draws import BuildGuess, ShopGuess, draw_chances, draw_open_minutes
from shop.queue.calc.network import Network, network_of
from shop.queue.calc.open_time import OpenTime
from shop.queue.calc.records import Job, Shop
from shop.queue.calc.search import Aim, Found, rank_of, search_order

Floats = NDArray[np.floating[Any]]

CHANCES = (50, 80, 90)
A_WEEK = 7
SPARE_DAYS = 400
"""Days beyond the plain sum of hours and waits that the calendar of the draws reaches."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePlan:
    """One stage as it is likely to go: days counted from today, and what it waits for first.

    early: the day before which it starts in one of ten draws. stretches: begin and end of each
    stretch of work, where it is put down for a build sooner in the order.
    """

    key: str
    starts: float
    ends: float
    free: float
    because: str
    early: int
    stretches: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """One build: its likely plan, and the days by which it is ready with 50, 80 and 90 %.

    days: chance → day, counted from today. chance: that it is ready on the promised day; None
    without one. why: days spent waiting, by what for. draws: the day of each draw.
    """

    key: str
    stages: tuple[StagePlan, ...]
    likely: int
    days: Mapping[int, int]
    chance: float | None
    why: Mapping[str, float]
    draws: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Queue:
    """Every build of the queue, in the order it was worked out for."""

    builds: tuple[Outlook, ...]
    stuck: float

    def of(self, key: str) -> Outlook | None:
        """Return one build's outlook, None where it has none."""
        return next((one for one in self.builds if one.key == key), None)


def look_ahead(
    jobs: Sequence[Job],
    guesses: Sequence[BuildGuess],
    shop: Shop,
    shared: ShopGuess,
    draws: int = 400,
) -> Queue:
    """Lay out the builds in the order given: once as is likely, and in every draw.

    Raises QueueError for what can't be laid out.
    """
    if not jobs:
        return Queue(builds=(), stuck=0.0)
    check_queue(jobs, shop)
    network = network_of(jobs, dict(shop.things))
    order = np.arange(len(jobs))[None]
    rank = rank_of(order, network)
    hands = bench(jobs, shop)
    likely = dispatch(network, _likely_time(hands, shared), _own_figures(network), rank)
    time = OpenTime(draw_open_minutes(hands, shared, draws))
    drawn = dispatch(network, time, draw_chances(network, guesses, shared, draws), rank)
    days = drawn.ready(network, len(jobs))
    early = np.floor(np.quantile(drawn.starts, 0.1, axis=0)).astype(int)
    plain = likely.ready(network, len(jobs))[0]
    return Queue(
        builds=tuple(
            Outlook(
                key=job.key,
                stages=_stages(network, likely, early, number),
                likely=int(plain[number]),
                days=days_of(days[:, number]),
                chance=None if job.due is None else float((days[:, number] <= job.due).mean()),
                why=_why(job, network, likely, number),
                draws=days[:, number],
            )
            for number, job in enumerate(jobs)
        ),
        stuck=float(drawn.stuck.mean()),
    )


def suggest_order(jobs: Sequence[Job], shop: Shop, shared: ShopGuess, *, rounds: int = 30) -> Found:
    """Search for an order with less lateness than the one given; see `search`."""
    check_queue(jobs, shop)
    network = network_of(jobs, dict(shop.things))
    aim = Aim(
        due=np.array([np.inf if job.due is None else float(job.due) for job in jobs]),
        weight=np.array([job.weight for job in jobs]),
    )
    time = _likely_time(bench(jobs, shop), shared)
    return search_order(network, time, aim, first=range(len(jobs)), rounds=rounds)


def days_of(days: Floats) -> dict[int, int]:
    """Return chance → the first day by which so many of a hundred draws are ready."""
    found = np.quantile(days, [chance / 100 for chance in CHANCES], method="inverted_cdf")
    return {chance: int(day) for chance, day in zip(CHANCES, found, strict=True)}


def tells_days(outlook: Outlook) -> bool:
    """Say whether the draws can tell days: else a week is all that should be shown."""
    return outlook.days[90] - outlook.days[50] < A_WEEK


def bench(jobs: Sequence[Job], shop: Shop) -> Floats:
    """Return minutes (hands, days), with the last year's weeks repeated as far as is needed."""
    hands = np.array(shop.hands, dtype=float)
    work = sum(stage.minutes for job in jobs for stage in job.stages)
    waits = max((sum(stage.wait for stage in job.stages) for job in jobs), default=0)
    a_day = hands.sum(axis=0).mean()
    needed = int(2.5 * work / max(a_day, 1e-9) + 2 * waits + SPARE_DAYS)
    if needed <= hands.shape[1]:
        return hands[:, :needed]
    weeks = hands[:, -364:] if hands.shape[1] >= 364 else hands[:, : hands.shape[1] // 7 * 7]
    more = -(-(needed - hands.shape[1]) // weeks.shape[1])
    return np.concatenate([hands, np.tile(weeks, (1, more))], axis=1)


def _likely_time(hands: Floats, shared: ShopGuess) -> OpenTime:
    return OpenTime(hands[:, None, :] * shared.share * (1 - shared.lost))


def _own_figures(network: Network) -> Chances:
    return Chances(
        minutes=network.minutes[None],
        waits=network.waits[None],
        not_before=network.not_before[None],
    )


def _stages(
    network: Network, layout: Layout, early: NDArray[np.integer[Any]], number: int
) -> tuple[StagePlan, ...]:
    return tuple(
        StagePlan(
            key=network.keys[place][1],
            starts=float(layout.starts[0, place]),
            ends=float(layout.ends[0, place]),
            free=float(layout.free[0, place]),
            because=_word(network, int(layout.because[0, place])),
            early=int(early[place]),
            stretches=tuple(
                (begins, ends) for stage, begins, ends in layout.stretches if stage == place
            ),
        )
        for place in np.flatnonzero(network.job == number)
    )


def _word(network: Network, because: int) -> str:
    if because >= BY_THING:
        return network.things[because - BY_THING]
    return {AT_ONCE: "", BY_HANDS: "hands"}.get(because, "waiting")


def _why(job: Job, network: Network, layout: Layout, number: int) -> dict[str, float]:
    """Add up the days on which the build stands still, by what it waits for."""
    places = dict(
        zip((stage.key for stage in job.stages), np.flatnonzero(network.job == number), strict=True)
    )
    days: dict[str, float] = defaultdict(float)
    for stage in job.stages:
        place = places[stage.key]
        before = [places[key] for key in stage.after if key in places]
        free = max((float(layout.free[0, one]) for one in before), default=0.0)
        blocked = max(stage.not_before - free, 0.0)
        if blocked:
            days[stage.blocked_by or "waiting"] += blocked
        rest = float(layout.starts[0, place]) - max(free, stage.not_before)
        word = _word(network, int(layout.because[0, place]))
        if rest >= 1 and word not in ("", "waiting"):
            days[word] += rest
        still = float(layout.free[0, place] - layout.ends[0, place])
        if still >= 1:
            days["glue, coats and cure"] += still
    return dict(sorted(days.items(), key=lambda item: -item[1]))
