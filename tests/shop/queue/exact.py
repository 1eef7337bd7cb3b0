"""An exact solver for small queues of days at one bench: the oracle of the search."""

from ortools.sat.python import cp_model


def least_lateness(jobs, *, mould: str) -> int:
    """Return the least sum of days late. Every day is open and has one minute; one pair of hands.

    A wait of w days after a stage whose last day is d lets the next begin on day d + w; without a
    wait it goes on at once.
    """
    model, most = cp_model.CpModel(), 200
    hands, held, late = [], [], []
    for job in jobs:
        start = {one.key: model.new_int_var(0, most, f"{job.key}{one.key}") for one in job.stages}
        by_key = {one.key: one for one in job.stages}
        for one in job.stages:
            duration = int(one.minutes)
            hands.append(model.new_fixed_size_interval_var(start[one.key], duration, ""))
            for key in one.after:
                before = by_key[key]
                last = start[key] + int(before.minutes) - 1
                model.add(start[one.key] >= last + max(before.wait, 1))
                if before.most_wait is not None:
                    model.add(start[one.key] <= last + before.most_wait)
            for take in one.takes:
                assert take.thing == mould
                end = start[take.until] + int(by_key[take.until].minutes)
                length = model.new_int_var(0, most, "")
                held.append(model.new_interval_var(start[one.key], length, end, ""))
        last_one = job.stages[-1]
        ready = start[last_one.key] + int(last_one.minutes) - 1 + last_one.wait
        days = model.new_int_var(0, most, "")
        model.add(days >= ready - job.due)
        late.append(days)
    model.add_no_overlap(hands)
    model.add_no_overlap(held)
    model.minimize(sum(late))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)
