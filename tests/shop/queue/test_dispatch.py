"""The dispatcher against published cases, an exact solver, and the plan of a single build."""

from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from shop.calendar.calc import OpenDays, StageWork, plan_forward
from shop.queue.calc.checking import check_queue
from shop.queue.calc.dispatch import BY_HANDS, BY_THING, BY_WAITING, Chances, dispatch
from shop.queue.calc.network import network_of
from shop.queue.calc.open_time import OpenTime
from shop.queue.calc.records import Job, QueueError, Shop, Stage, Take
from shop.queue.calc.search import Aim, rank_of, search_order
from tests.shop.queue.exact import least_lateness
from tests.shop.queue.published import (
    FT06,
    J301_1,
    J301_1_CAPACITY,
    proved_ft06,
    proved_j301_1,
)

WEEK = (300, 300, 300, 300, 240, 0, 0)
MONDAY = date(2027, 3, 15)


def plain(net):
    return Chances(
        minutes=net.minutes[None], waits=net.waits[None], not_before=net.not_before[None]
    )


def chain(key, *stages, due=None, **fields):
    """A build whose stages (minutes, wait, ...) come one after another."""
    rows = tuple(
        Stage(
            key=str(place),
            name=f"stage {place}",
            minutes=minutes,
            wait=wait,
            after=(str(place - 1),) if place else (),
            **(more[0] if more else {}),
        )
        for place, (minutes, wait, *more) in enumerate(stages)
    )
    return Job(key=key, stages=rows, due=due, **fields)


def laid_out(jobs, things=None, week=WEEK, hands=1, weeks=60):
    net = network_of(jobs, things or {})
    time = OpenTime(np.tile(np.array(week, dtype=float), weeks)[None, None].repeat(hands, axis=0))
    order = np.arange(len(jobs))[None]
    return net, dispatch(net, time, plain(net), rank_of(order, net))


def test_j301_1_is_laid_out_in_its_least_makespan_of_43():
    before = {job: [str(one) for one in J301_1 if job in J301_1[one][2]] for job in J301_1}
    stages = tuple(
        Stage(
            key=str(job),
            name=str(job),
            minutes=duration,
            after=tuple(before[job]),
            takes=tuple(
                Take(thing=name, units=count)
                for name, count in zip(J301_1_CAPACITY, units, strict=True)
                if count
            ),
        )
        for job, (duration, units, _) in J301_1.items()
    )
    net = network_of([Job(key="j301_1", stages=stages)], J301_1_CAPACITY)
    net = replace(net, may_pause=False)
    ranks = np.random.default_rng(1).random((500, len(net.heads)))
    layout = dispatch(net, OpenTime(np.ones((32, 1, 300))), plain(net), ranks)
    assert layout.ends.max(axis=1).min() == proved_j301_1() == 43
    assert layout.ends.max() > 43  # orders differ, or the least would say nothing


def test_ft06_is_laid_out_within_six_percent_of_its_least_makespan_of_55():
    jobs = [
        chain(f"{job}", *((days, 0, {"takes": (Take(thing=f"{at}"),)}) for at, days in steps))
        for job, steps in enumerate(FT06)
    ]
    net = network_of(jobs, {f"{machine}": 1 for machine in range(6)})
    net = replace(net, may_pause=False)
    ranks = np.random.default_rng(1).random((1000, len(net.heads)))
    layout = dispatch(net, OpenTime(np.ones((6, 1, 300))), plain(net), ranks)
    assert proved_ft06() == 55
    assert 55 <= layout.ends.max(axis=1).min() <= 55 * 1.06


@pytest.mark.parametrize("seed", range(8))
def test_small_queues_come_within_a_tenth_of_the_exact_lateness(seed):
    """Three builds, one pair of hands, one mould, least and most days between stages."""
    rng = np.random.default_rng(seed)
    jobs = []
    for number in range(3):
        stages = [(int(rng.integers(1, 5)), int(rng.integers(0, 4)), {}) for _ in range(4)]
        stages[1][2]["takes"] = (Take(thing="mould", until="2", through_wait=False),)
        stages[2][2]["most_wait"] = stages[2][1] + 6
        jobs.append(chain(f"{number}", *stages, due=int(rng.integers(8, 30))))
    net = replace(network_of(jobs, {"mould": 1}), may_pause=False)
    aim = Aim(due=np.array([float(job.due) for job in jobs]), weight=np.ones(3))
    time = OpenTime(np.ones((1, 1, 200)))
    found = search_order(net, time, aim, first=[0, 1, 2], rounds=5)
    layout = dispatch(net, time, plain(net), rank_of(np.array([found.order]), net))
    ready = layout.ready(net, 3)[0]
    late = sum(max(day - job.due, 0) for day, job in zip(ready, jobs, strict=True))
    exact = least_lateness(jobs, mould="mould")
    assert exact <= late <= exact * 1.1 + 3
    assert layout.missed[0] == 0


@pytest.mark.parametrize("hours", [(2, 14, 5, 8), (5, 5, 5), (1, 1, 1, 40)])
def test_one_build_alone_is_ready_when_its_plain_plan_says(hours):
    waits = (1, 7, 0, 3)[: len(hours)]
    _, layout = laid_out([chain("1", *((60 * h, w) for h, w in zip(hours, waits, strict=True)))])
    work = [
        StageWork(name="x", minutes=60 * h, waiting_days=w)
        for h, w in zip(hours, waits, strict=True)
    ]
    plan = plan_forward(work, OpenDays(week=WEEK), start=MONDAY)
    assert [int(day) for day in layout.starts[0]] == [
        (step.starts - MONDAY).days for step in plan.steps
    ]
    last = np.ceil(layout.ends[0] - 1e-9) - 1
    assert [int(day) for day in last] == [(step.finishes - MONDAY).days for step in plan.steps]


def test_hands_take_up_another_build_while_one_waits():
    _, layout = laid_out([chain("1", (300, 7), (300, 0)), chain("2", (300, 0), (300, 0))])
    assert [int(day) for day in layout.starts[0]] == [0, 7, 1, 2]
    assert list(layout.because[0][1:]) == [BY_WAITING, BY_HANDS, BY_WAITING]


def test_a_mould_is_held_from_one_stage_to_a_later_one():
    stages = (
        (300, 2, {"takes": (Take(thing="mould", until="1"),)}),
        (300, 1),
    )
    _, one = laid_out([chain("1", *stages), chain("2", *stages)], {"mould": 1})
    assert one.starts[0][2] == 3  # bent on Monday, closed on Wednesday, one more night
    assert one.because[0][2] == BY_THING
    _, two = laid_out([chain("1", *stages), chain("2", *stages)], {"mould": 2})
    assert two.starts[0][2] == 1


def test_a_build_that_has_the_mould_now_keeps_it():
    holds = (Take(thing="mould", until="0", through_wait=True),)
    first = chain("1", (300, 4), holds=holds)
    second = chain("2", (300, 0, {"takes": (Take(thing="mould"),)}))
    _, layout = laid_out([second, first], {"mould": 1})
    assert layout.starts[0][0] == 4


def test_a_stage_is_put_down_when_a_build_sooner_in_the_order_can_go_on():
    _, layout = laid_out([chain("1", (300, 3), (300, 0)), chain("2", (900, 0))])
    assert [int(day) for day in layout.starts[0]] == [0, 3, 1]
    assert layout.ends[0][2] == 7 + 60 / 300  # Tuesday, Wednesday, Friday 4 h, Monday 1 h
    assert layout.ends[0][1] == 4


def test_a_second_pair_of_hands_works_beside_the_first():
    jobs = [chain("1", (600, 0)), chain("2", (600, 0))]
    _, one = laid_out(jobs)
    _, two = laid_out(jobs, hands=2)
    assert one.starts[0][1] == 2
    assert two.starts[0][1] == 0


def test_a_coat_that_would_miss_its_window_is_put_off_to_after_the_closed_days():
    net = network_of([chain("1", (300, 0), (300, 1, {"most_wait": 3}), (60, 0))], {})
    minutes = np.array([300.0] * 4 + [0.0] * 10 + [300.0] * 20)
    minutes[1:3] = 0  # Monday, then Thursday, then ten closed days
    layout = dispatch(net, OpenTime(minutes[None, None]), plain(net), np.zeros((1, 1)))
    assert [int(day) for day in layout.starts[0]] == [0, 14, 15]
    assert layout.missed[0] == 0


def test_long_work_does_not_begin_where_a_coat_would_miss_its_window():
    coats = chain("1", (60, 1, {"most_wait": 2}), (60, 0))
    _, layout = laid_out([coats, chain("2", (1500, 0))])
    assert layout.missed[0] == 0
    assert layout.starts[0][1] < layout.starts[0][2]


def test_builds_that_wait_for_each_other_s_things_go_on_and_it_is_said():
    def crossed(key, first, second):
        return chain(
            key,
            (60, 1, {"takes": (Take(thing=first, until="1"),)}),
            (60, 1, {"takes": (Take(thing=second),)}),
        )

    _, layout = laid_out([crossed("1", "a", "b"), crossed("2", "b", "a")], {"a": 1, "b": 1})
    assert layout.stuck[0] == 1
    assert np.isfinite(layout.ends).all()


@pytest.mark.parametrize(
    ("job", "things", "sentence"),
    [
        (
            Job(key="GR-1", stages=(
                Stage(key="a", name="bend", minutes=1, after=("b",)),
                Stage(key="b", name="close", minutes=1, after=("a",)),
            )),
            {},
            "GR-1: these stages wait for one another in a circle: bend, then close, then bend. "
            "Take one of them out.",
        ),
        (
            chain("GR-1", (1, 0), (1, 0, {"takes": (Take(thing="mould", until="0"),)})),
            {"mould": 1},
            "GR-1, stage 1: “mould” would be held for ever, because the stage that gives it back "
            "doesn't come later. Choose a later stage.",
        ),
        (
            chain("GR-1", (1, 0, {"takes": (Take(thing="clamps", units=30),)})),
            {"clamps": 24},
            "GR-1, stage 0: it needs 30 of “clamps” and there are 24. Raise the number, or take "
            "the need out.",
        ),
        (
            chain("GR-1", (1, 5, {"most_wait": 2}), (1, 0)),
            {},
            "GR-1, stage 0: it has to wait 5 days, and what follows has to begin within 2. Make "
            "the most days at least the least days.",
        ),
    ],
    ids=["circle", "held for ever", "too few", "window"],
)  # fmt: skip
def test_what_cannot_be_laid_out_is_refused(job, things, sentence):
    with pytest.raises(QueueError) as refused:
        check_queue([job], Shop(hands=[[300]], things=things))
    assert str(refused.value) == sentence


def test_a_week_without_hours_is_refused():
    with pytest.raises(QueueError, match="no hours"):
        check_queue([chain("1", (1, 0))], Shop(hands=[[0, 0]]))


def test_stretches_never_overlap_and_a_stage_is_put_down_for_what_comes_sooner():
    """One pair of hands: the second build's long stage is taken up twice."""
    first = chain("1", (60, 2), (60, 0))
    _, layout = laid_out([first, chain("2", (3000, 0))])
    stretches = sorted((begins, ends) for _, begins, ends in layout.stretches)
    assert all(one[1] <= then[0] + 1e-6 for one, then in pairwise(stretches))
    assert sorted(stage for stage, *_ in layout.stretches) == [0, 1, 2, 2]


def test_work_beyond_the_end_of_the_calendar_ends_with_it():
    """A draw may be longer than every day that was drawn; nothing comes sooner to wait for."""
    _, layout = laid_out([chain("1", (10_000, 0), (60, 0))], weeks=2)
    assert layout.ends[0, 1] >= 14
    assert np.isfinite(layout.ends).all()
