"""What can't be laid out is refused in one sentence, before anything is worked out."""

from collections.abc import Sequence
from graphlib import CycleError, TopologicalSorter

from shop.queue.calc.records import Job, QueueError, Shop, Stage


def check_queue(jobs: Sequence[Job], shop: Shop) -> None:
    """Raise QueueError for a circle of stages, a thing held for ever or too few of it, no hours."""
    if not shop.hands or not any(any(days) for days in shop.hands):
        raise QueueError("The working week has no hours. Give at least one weekday bench hours.")
    for job in jobs:
        _check_order(job)
        for stage in job.stages:
            _check_stage(job, stage, shop)


def check_circle(name: str, after: dict[str, tuple[str, ...]]) -> None:
    """Raise QueueError when stages wait for one another in a circle."""
    try:
        TopologicalSorter(after).prepare()
    except CycleError as error:
        circle = ", then ".join(reversed(error.args[1]))
        raise QueueError(
            f"{name}: these stages wait for one another in a circle: {circle}. Take one "
            "of them out."
        ) from error


def _check_order(job: Job) -> None:
    names = {stage.key: stage.name for stage in job.stages}
    if len(names) < len(job.stages):
        raise QueueError(f"{job.key}: two stages have one key.")
    after = {
        stage.name: tuple(names[key] for key in stage.after if key in names) for stage in job.stages
    }
    if len(after) < len(names):  # two stages of one name: their keys tell them apart
        after = {one.key: tuple(key for key in one.after if key in names) for one in job.stages}
    check_circle(job.key, after)


def _check_stage(job: Job, stage: Stage, shop: Shop) -> None:
    where = f"{job.key}, {stage.name}"
    if stage.minutes < 0 or stage.wait < 0:
        raise QueueError(f"{where}: hours and days of waiting can't be below 0.")
    if stage.most_wait is not None and stage.most_wait < stage.wait:
        raise QueueError(
            f"{where}: it has to wait {stage.wait} days, and what follows has to begin within "
            f"{stage.most_wait}. Make the most days at least the least days."
        )
    for take in stage.takes:
        there = shop.things.get(take.thing, 0)
        if take.units > there:
            raise QueueError(
                f"{where}: it needs {take.units} of “{take.thing}” and there are {there}. Raise "
                "the number, or take the need out."
            )
        if take.until and take.until not in _from(job, stage.key):
            raise QueueError(
                f"{where}: “{take.thing}” would be held for ever, because the stage that gives it "
                "back doesn't come later. Choose a later stage."
            )


def _from(job: Job, key: str) -> set[str]:
    """Return the keys of a stage and of those that come after it, by whatever way."""
    found = {key}
    while True:
        more = {one.key for one in job.stages if found & set(one.after)} - found
        if not more:
            return found
        found |= more
