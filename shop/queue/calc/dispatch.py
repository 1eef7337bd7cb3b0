"""Lay out all builds by their order, in many draws at once.

Whenever a pair of hands is free, it takes the first stage in the order that can begin: what came
before it is done, its waiting is over, and the things it needs are free. It is worked to its end,
or until one sooner in the order can go on. Each step lays out one stretch of work in every draw,
so that the time grows with the stages.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shop.queue.calc.network import NONE, Network
from shop.queue.calc.open_time import OpenTime

Whole = NDArray[np.integer[Any]]
Mask = NDArray[np.bool_]
Floats = NDArray[np.floating[Any]]

AT_ONCE, BY_HANDS, BY_WAITING, BY_THING = 0, 1, 2, 3
"""What a stage waited for last: nothing, hands, days; from `BY_THING` on, the number of a thing."""

URGENT = -1.0
FAR = 1e7
SOON = 1e-9
NOT_YET = -1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """When each stage starts and ends in each draw (draws, stages), in clocks of `OpenTime`.

    free: when what follows can begin. done: the day on which its wait is over. because: what it
    waited for last. missed: stages that began after the window of the one before had closed.
    stuck: draws in which builds waited for one another's things, so that one went on without.
    stretches: of a single draw, stage and clocks of each stretch of work, as they came.
    """

    starts: Floats
    ends: Floats
    free: Floats
    done: Floats
    because: Whole
    missed: Whole
    stuck: Whole
    stretches: tuple[tuple[int, float, float], ...] = ()

    def ready(self, network: Network, jobs: int) -> Floats:
        """Return the day on which each build is ready (draws, jobs), its last wait included."""
        days = np.zeros((self.free.shape[0], jobs))
        np.maximum.at(days.T, network.job, self.done.T)
        return days


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """What differs between draws: minutes, waits and earliest days (draws, stages)."""

    minutes: Floats
    waits: Floats
    not_before: Floats


def dispatch(network: Network, time: OpenTime, chances: Chances, rank: Floats) -> Layout:
    """Lay out every draw. rank: (draws, tracks) or one row: the lower, the sooner."""
    run = _Run(network, time, chances, rank)
    while run.rows.size:
        run.step()
    return Layout(
        starts=run.starts,
        ends=run.ends,
        free=run.free,
        done=run.done,
        because=run.because,
        missed=run.missed,
        stuck=run.stuck,
        stretches=tuple(run.stretches),
    )


@dataclass(frozen=True, slots=True)
class _Move:
    """The next stage of each draw: by which hand, when that is free, and when the stage can be."""

    rows: Whole
    hand: Whole
    free: Floats
    track: Whole
    can: Floats
    by_thing: Floats
    thing: Whole

    def only(self, kept: Mask) -> "_Move":
        return _Move(*(getattr(self, one.name)[kept] for one in fields(self)))


class _Run:
    """The state of all draws while they are laid out."""

    def __init__(self, network: Network, time: OpenTime, chances: Chances, rank: Floats) -> None:
        draws = max(len(chances.minutes), len(rank))
        shape = (draws, network.size)
        self.net, self.time = network, time
        self.minutes = np.broadcast_to(chances.minutes, shape).copy()
        self.waits = np.broadcast_to(chances.waits, shape)
        self.rank = np.broadcast_to(rank, (draws, len(network.heads)))
        self.earliest = np.broadcast_to(chances.not_before, shape).copy()
        self.close = np.full(shape, np.inf)
        self.left = np.broadcast_to(network.before, shape).copy()
        self.head = np.broadcast_to(network.heads, (draws, len(network.heads))).copy()
        first = self.left[:, network.heads] == 0
        self.ready = np.where(first, self.earliest[:, network.heads], np.inf)
        self.hands = np.zeros((draws, time.hands))
        for hand in range(time.hands):
            row = time.rows_of(np.full(draws, hand), np.arange(draws))
            self.hands[:, hand] = time.opening(row, np.zeros(draws))
        self.pools = [
            _pool(draws, max(count, held), held)
            for count, held in zip(network.counts, network.held, strict=True)
        ]
        self.counts = [[one for one in {*row.tolist()} if one] for row in network.takes]
        self.needs = [
            np.broadcast_to(row[network.heads], self.head.shape).copy() for row in network.takes
        ]
        self.windows = bool(np.isfinite(network.most_wait).any())
        self.starts = np.full(shape, NOT_YET)
        self.ends, self.free, self.done = (np.zeros(shape) for _ in range(3))
        self.because = np.zeros(shape, dtype=np.int16)
        self.stretches: list[tuple[int, float, float]] = []
        self.missed, self.stuck = (np.zeros(draws, dtype=np.int64) for _ in range(2))
        self.rows = np.arange(draws) if network.size else np.arange(0)
        self.to_do = np.full(draws, network.size)

    def step(self) -> None:
        """Lay out the next stage of every draw that has one."""
        rows = self.rows
        hand = self.hands[rows].argmin(axis=1)
        free = self.hands[rows, hand]
        by_things, thing = self._things()
        can = np.maximum(self.ready[rows], by_things)
        rank = self.rank[rows]
        if self.windows:
            closing = self.close[rows[:, None], self.head[rows]]
            rank = np.where(np.isfinite(closing), URGENT, rank)
        later = np.maximum(can - free[:, None], 0)
        key = np.where(later < SOON, rank, later * FAR + rank + FAR)
        track = key.argmin(axis=1)
        each = np.arange(len(rows))
        start = can[each, track]
        stuck = np.isinf(start)
        if stuck.any():
            track, start = self._make_do(stuck, track, start)
        if self.windows:
            track, start = self._keep_for_window(hand, free, track, start, can)
        move = _Move(rows, hand, free, track, start, by_things[each, track], thing[each, track])
        if self.net.may_pause:
            higher = self.rank[rows] < self.rank[rows, track][:, None]
            move = self._pause(move, np.where(higher, can, np.inf).min(axis=1))
        self._lay_out(move)

    def _things(self) -> tuple[Floats, Whole]:
        """Return when the things that each track's next stage needs are free, and the last one."""
        by = np.full((len(self.rows), self.head.shape[1]), -1.0)
        which = np.zeros(by.shape, dtype=np.int16)
        for number, (pool, needs) in enumerate(zip(self.pools, self.needs, strict=True)):
            units = needs[self.rows]
            for count in self.counts[number]:
                free = np.where(units == count, pool[self.rows, count - 1][:, None], -1.0)
                which[free > by] = number
                by = np.maximum(by, free)
        return by, which

    def _keep_for_window(
        self, hand: Whole, free: Floats, track: Whole, start: Floats, can: Floats
    ) -> tuple[Whole, Floats]:
        """Rather than begin what would last beyond a window, wait for what has to begin in it."""
        rows, each = self.rows, np.arange(len(self.rows))
        closing = np.where(np.isinf(can), np.inf, self.close[rows[:, None], self.head[rows]])
        urgent = closing.argmin(axis=1)
        of_hand = self.time.rows_of(hand, rows)
        point = self.time.worked_until(of_hand, np.maximum(start, free))
        end, _ = self.time.ending(of_hand, point + self.minutes[rows, self.head[rows, track]])
        keep = (closing[each, urgent] + 1 < end) & (can[each, urgent] <= closing[each, urgent] + 1)
        track = np.where(keep, urgent, track)
        return track, np.where(keep, can[each, track], start)

    def _make_do(self, stuck: Whole, track: Whole, start: Floats) -> tuple[Whole, Floats]:
        """Where builds wait for one another's things, let the first in the order go on without."""
        rows = self.rows
        self.stuck[rows[stuck]] = 1
        key = np.where(np.isinf(self.ready[rows]), np.inf, self.rank[rows])
        track = np.where(stuck, key.argmin(axis=1), track)
        return track, np.where(stuck, self.ready[rows, track], start)

    def _pause(self, move: _Move, sooner: Floats) -> _Move:
        """Work until a build sooner in the order can go on, where that is before the stage ends."""
        time, stage = self.time, self.head[move.rows, move.track]
        row = time.rows_of(move.hand, move.rows)
        point = time.worked_until(row, np.maximum(move.can, move.free))
        until = time.worked_until(row, np.minimum(sooner, time.days))
        worked = until - point
        cut = (worked > 0) & (worked < self.minutes[move.rows, stage]) & np.isfinite(sooner)
        if not cut.any():
            return move
        rows, its = move.rows[cut], stage[cut]
        first = self.starts[rows, its] == NOT_YET
        self._note_start(move.only(cut).only(first), its[first])
        self._note_stretch(row[cut], its, np.maximum(move.can, move.free)[cut], until[cut])
        self._hold(rows[first], its[first])
        self.minutes[rows, its] -= worked[cut]
        self.hands[rows, move.hand[cut]] = time.opening(row[cut], sooner[cut])
        self.ready[rows, move.track[cut]] = sooner[cut]
        return move.only(~cut)

    def _note_start(self, move: _Move, stage: Whole) -> None:
        row = self.time.rows_of(move.hand, move.rows)
        self.starts[move.rows, stage] = self.time.opening(row, np.maximum(move.can, move.free))
        self.because[move.rows, stage] = self._because(move)

    def _note_stretch(self, row: Whole, stage: Whole, clock: Floats, until: Floats) -> None:
        """Note a stretch of work, which only a single draw has a use for."""
        if len(self.starts) > 1 or not len(stage):
            return
        begins = float(self.time.opening(row, clock)[0])
        ends = float(self.time.ending(row, until)[0][0])
        self.stretches.append((int(stage[0]), begins, max(ends, begins)))

    def _lay_out(self, move: _Move) -> None:
        time, stage = self.time, self.head[move.rows, move.track]
        row = time.rows_of(move.hand, move.rows)
        point = time.worked_until(row, np.maximum(move.can, move.free))
        done = point + self.minutes[move.rows, stage]
        end, day = time.ending(row, done)
        wait = self.waits[move.rows, stage]
        out = np.where(wait > 0, day + wait, end)
        if self.windows:
            kept = self._mind_windows(move, stage, row, day, out)
            if not kept.all():
                move = move.only(kept)
                stage, row, day, done = stage[kept], row[kept], day[kept], done[kept]
                end, out = end[kept], out[kept]
            begins = np.maximum(move.can, move.free)
            self.missed[move.rows] += begins >= self.close[move.rows, stage] + 1
        rows = move.rows
        first = self.starts[rows, stage] == NOT_YET
        self._note_start(move.only(first), stage[first])
        self._note_stretch(row, stage, np.maximum(move.can, move.free), done)
        self.ends[rows, stage] = end
        self.free[rows, stage] = out
        self.done[rows, stage] = day + self.waits[rows, stage]
        self.hands[rows, move.hand] = time.opening(row, end)
        self._hold(rows[first], stage[first])
        self._give_back(rows, stage, end, out)
        self._go_on(rows, move.track, stage, out, day)
        self.to_do[rows] -= 1
        if (self.to_do[rows] == 0).any():
            self.rows = self.rows[self.to_do[self.rows] > 0]

    def _because(self, move: _Move) -> Whole:
        ready = self.ready[move.rows, move.track]
        why = np.where(move.by_thing > ready + SOON, BY_THING + move.thing, BY_WAITING)
        hands = move.free - np.maximum(move.can, 0)
        longest = hands >= np.maximum(move.by_thing - ready, 0)
        why = np.where((hands > SOON) & longest, BY_HANDS, why)
        return np.where((move.can <= SOON) & (move.free <= SOON), AT_ONCE, why)

    def _mind_windows(self, move: _Move, stage: Whole, row: Whole, day: Whole, out: Floats) -> Mask:
        """Put off a stage after which nobody would be there in time for what follows."""
        reopens = np.floor(self.time.opening(row, out))
        late = (reopens > day + self.net.most_wait[stage]) & (
            self.ready[move.rows, move.track] < reopens
        )
        late &= np.isinf(self.close[move.rows, stage])
        late &= self.net.following[stage, 0] != NONE
        self.ready[move.rows[late], move.track[late]] = reopens[late]
        return ~late

    def _hold(self, rows: Whole, stage: Whole) -> None:
        """Take the units that are free first, until the stage that gives them back has ended."""
        for number, pool in enumerate(self.pools):
            taken = self.net.takes[number, stage]
            some = taken > 0
            if some.any():
                its = self.net.track[stage[some]]
                self.needs[number][rows[some], its] = 0
                units = pool[rows[some]]
                place = np.arange(units.shape[1])[None, :]
                pool[rows[some]] = np.sort(
                    np.where(place < taken[some][:, None], np.inf, units), axis=1
                )

    def _give_back(self, rows: Whole, stage: Whole, end: Floats, out: Floats) -> None:
        net = self.net
        for number, pool in enumerate(self.pools):
            for back, until in ((net.gives, end), (net.gives_late, out)):
                given = back[number, stage]
                some = given > 0
                if not some.any():
                    continue
                units = pool[rows[some]]
                place = np.arange(units.shape[1])[None, :]
                its = place >= units.shape[1] - given[some][:, None]
                until_then = np.minimum(units, until[some][:, None])
                pool[rows[some]] = np.sort(np.where(its, until_then, units), axis=1)

    def _go_on(self, rows: Whole, track: Whole, stage: Whole, out: Floats, day: Whole) -> None:
        """Let what follows each stage begin from `out` on."""
        net = self.net
        following = net.next_in_track[stage]
        self.head[rows, track] = following
        for needs, takes in zip(self.needs, net.takes, strict=True):
            needs[rows, track] = np.where(following == NONE, 0, takes[following])
        self.ready[rows, track] = np.inf
        most = day + net.most_wait[stage]
        for number in range(net.following.shape[1]):
            following = net.following[stage, number]
            some = following != NONE
            if not some.any():
                return
            row, place = rows[some], following[some]
            self.earliest[row, place] = np.maximum(self.earliest[row, place], out[some])
            self.close[row, place] = np.minimum(self.close[row, place], most[some])
            self.left[row, place] -= 1
            its = net.track[place]
            next_up = (self.left[row, place] == 0) & (self.head[row, its] == place)
            self.ready[row[next_up], its[next_up]] = self.earliest[row[next_up], place[next_up]]


def _pool(draws: int, count: int, held: int) -> Floats:
    """Return when each of `count` units is free; those that builds have now come last."""
    pool = np.zeros((draws, max(count, 1)))
    if held:
        pool[:, -held:] = np.inf
    return pool
