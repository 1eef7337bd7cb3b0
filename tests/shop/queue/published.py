"""Published cases of scheduling with renewable resources, and an exact solver to check them by.

j301_1: PSPLIB, Kolisch and Sprecher, European Journal of Operational Research 96, 1997; best known
and proved 43. ft06: Fisher and Thompson, in Industrial Scheduling, 1963; optimum 55 (typed from
memory, and so proved here before it is used).
"""

from ortools.sat.python import cp_model

J301_1_CAPACITY = {"R1": 12, "R2": 13, "R3": 4, "R4": 12}
J301_1 = {
    1: (0, (0, 0, 0, 0), (2, 3, 4)),
    2: (8, (4, 0, 0, 0), (6, 11, 15)),
    3: (4, (10, 0, 0, 0), (7, 8, 13)),
    4: (6, (0, 0, 0, 3), (5, 9, 10)),
    5: (3, (3, 0, 0, 0), (20,)),
    6: (8, (0, 0, 0, 8), (30,)),
    7: (5, (4, 0, 0, 0), (27,)),
    8: (9, (0, 1, 0, 0), (12, 19, 27)),
    9: (2, (6, 0, 0, 0), (14,)),
    10: (7, (0, 0, 0, 1), (16, 25)),
    11: (9, (0, 5, 0, 0), (20, 26)),
    12: (2, (0, 7, 0, 0), (14,)),
    13: (6, (4, 0, 0, 0), (17, 18)),
    14: (3, (0, 8, 0, 0), (17,)),
    15: (9, (3, 0, 0, 0), (25,)),
    16: (10, (0, 0, 0, 5), (21, 22)),
    17: (6, (0, 0, 0, 8), (22,)),
    18: (5, (0, 0, 0, 7), (20, 22)),
    19: (3, (0, 1, 0, 0), (24, 29)),
    20: (7, (0, 10, 0, 0), (23, 25)),
    21: (2, (0, 0, 0, 6), (28,)),
    22: (7, (2, 0, 0, 0), (23,)),
    23: (2, (3, 0, 0, 0), (24,)),
    24: (3, (0, 9, 0, 0), (30,)),
    25: (3, (4, 0, 0, 0), (30,)),
    26: (7, (0, 0, 4, 0), (31,)),
    27: (8, (0, 0, 0, 7), (28,)),
    28: (3, (0, 8, 0, 0), (31,)),
    29: (7, (0, 7, 0, 0), (32,)),
    30: (2, (0, 7, 0, 0), (32,)),
    31: (2, (0, 0, 2, 0), (32,)),
    32: (0, (0, 0, 0, 0), ()),
}
"""Job → duration, units of each resource, jobs that follow."""

FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)
"""Job → (machine, duration) in order."""


def proved_j301_1() -> int:
    """Return the least makespan of j301_1 by an exact solver."""
    model = cp_model.CpModel()
    start = {job: model.new_int_var(0, 200, f"s{job}") for job in J301_1}
    for place, name in enumerate(J301_1_CAPACITY):
        boxes = [
            model.new_fixed_size_interval_var(start[job], duration, f"{name}{job}")
            for job, (duration, units, _) in J301_1.items()
            if units[place]
        ]
        units = [one[1][place] for one in J301_1.values() if one[1][place]]
        model.add_cumulative(boxes, units, J301_1_CAPACITY[name])
    for job, (duration, _, following) in J301_1.items():
        for after in following:
            model.add(start[after] >= start[job] + duration)
    model.minimize(start[32])
    return _solved(model)


def proved_ft06() -> int:
    """Return the least makespan of ft06 by an exact solver."""
    model = cp_model.CpModel()
    end = model.new_int_var(0, 200, "end")
    boxes = {machine: [] for machine in range(6)}
    for job, steps in enumerate(FT06):
        before = None
        for machine, duration in steps:
            start = model.new_int_var(0, 200, f"{job}-{machine}")
            boxes[machine].append(model.new_fixed_size_interval_var(start, duration, ""))
            if before is not None:
                model.add(start >= before)
            before = start + duration
        model.add(end >= before)
    for some in boxes.values():
        model.add_no_overlap(some)
    model.minimize(end)
    return _solved(model)


def _solved(model: cp_model.CpModel) -> int:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 60
    status = solver.solve(model)
    assert status == cp_model.OPTIMAL
    return round(solver.objective_value)
