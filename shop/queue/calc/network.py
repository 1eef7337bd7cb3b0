"""Builds and their stages as arrays: what the dispatcher runs over."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shop.queue.calc.records import Job, Stage

Whole = NDArray[np.integer[Any]]
Floats = NDArray[np.floating[Any]]
NONE = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """All stages of all builds in one row, and what joins them.

    job, track: of each stage. A track is a run of stages of one build, each of which waits for the
    one before; only its first unfinished stage can be next. following: (stages, most) the stages
    that wait for each. before: how many it waits for. takes, gives: (things, stages) units taken
    at the start, and given back at the end of a stage; `gives_late` after its waiting. held: of
    each thing, units that builds have now.
    """

    keys: tuple[tuple[str, str], ...]
    job: Whole
    track: Whole
    track_job: Whole
    heads: Whole
    next_in_track: Whole
    place: Whole
    following: Whole
    before: Whole
    most_wait: Floats
    minutes: Floats
    waits: Floats
    not_before: Floats
    takes: Whole
    gives: Whole
    gives_late: Whole
    held: Whole
    things: tuple[str, ...]
    counts: tuple[int, ...]
    may_pause: bool = True

    @property
    def size(self) -> int:
        return len(self.keys)


def network_of(jobs: Sequence[Job], things: dict[str, int]) -> Network:
    """Return the builds as a network. They have been checked by `check_queue`."""
    stages = [(number, stage) for number, job in enumerate(jobs) for stage in job.stages]
    at = {(number, stage.key): place for place, (number, stage) in enumerate(stages)}
    before = [
        [at[number, key] for key in stage.after if (number, key) in at] for number, stage in stages
    ]
    tracks = _tracks(before)
    following: list[list[int]] = [[] for _ in stages]
    for place, some in enumerate(before):
        for one in some:
            following[one].append(place)
    names = tuple(things)
    held = _Held(jobs, stages, at, names)
    heads = [track[0] for track in tracks]
    next_in_track = np.full(len(stages), NONE)
    track_of = np.zeros(len(stages), dtype=np.int64)
    for number, track in enumerate(tracks):
        track_of[track] = number
        next_in_track[track[:-1]] = track[1:]
    most = [np.inf if one.most_wait is None else float(one.most_wait) for _, one in stages]
    return Network(
        keys=tuple((jobs[number].key, stage.key) for number, stage in stages),
        job=np.array([number for number, _ in stages], dtype=np.int64),
        track=track_of,
        track_job=np.array([stages[head][0] for head in heads], dtype=np.int64),
        heads=np.array(heads, dtype=np.int64),
        next_in_track=next_in_track,
        place=np.arange(len(stages)),
        following=_padded(following),
        before=np.array([len(some) for some in before], dtype=np.int64),
        most_wait=np.array(most),
        minutes=np.array([stage.minutes for _, stage in stages], dtype=float),
        waits=np.array([stage.wait for _, stage in stages], dtype=float),
        not_before=np.array([stage.not_before for _, stage in stages], dtype=float),
        takes=held.takes,
        gives=held.gives,
        gives_late=held.gives_late,
        held=held.now,
        things=names,
        counts=tuple(things.values()),
    )


class _Held:
    """Which stage takes how much of which thing, and which one gives it back."""

    def __init__(
        self,
        jobs: Sequence[Job],
        stages: Sequence[tuple[int, Stage]],
        at: dict[tuple[int, str], int],
        names: tuple[str, ...],
    ) -> None:
        shape = (len(names), len(stages))
        self.takes, self.gives, self.gives_late = (
            np.zeros(shape, dtype=np.int64) for _ in range(3)
        )
        self.now = np.zeros(len(names), dtype=np.int64)
        for place, (number, stage) in enumerate(stages):
            for take in stage.takes:
                thing = names.index(take.thing)
                self.takes[thing, place] += take.units
                end = at.get((number, take.until), place)
                back = self.gives_late if take.through_wait else self.gives
                back[thing, end] += take.units
        for number, job in enumerate(jobs):
            for take in job.holds:
                until = at.get((number, take.until))
                if until is not None and take.thing in names:
                    thing = names.index(take.thing)
                    self.now[thing] += take.units
                    back = self.gives_late if take.through_wait else self.gives
                    back[thing, until] += take.units


def _tracks(before: Sequence[Sequence[int]]) -> list[list[int]]:
    """Cut the stages into runs: a stage goes on a run that ends with one it waits for."""
    tracks: list[list[int]] = []
    tail: dict[int, list[int]] = {}
    for place in _in_order(before):
        track = next((tail.pop(one) for one in before[place] if one in tail), None)
        if track is None:
            track = []
            tracks.append(track)
        track.append(place)
        tail[place] = track
    return tracks


def _in_order(before: Sequence[Sequence[int]]) -> list[int]:
    from graphlib import TopologicalSorter

    graph = {place: sorted(some) for place, some in enumerate(before)}
    return list(TopologicalSorter(graph).static_order())


def _padded(rows: Sequence[Sequence[int]]) -> Whole:
    most = max((len(row) for row in rows), default=0)
    table = np.full((len(rows), max(most, 1)), NONE)
    for number, row in enumerate(rows):
        table[number, : len(row)] = row
    return table
