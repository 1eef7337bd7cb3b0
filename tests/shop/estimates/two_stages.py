"""A small template, and past builds of it, for tests of one rule at a time."""

from datetime import date, timedelta

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.estimate import estimate_hours
from shop.estimates.calc.records import EstimateRequest, PastBuild, StageFigures

TODAY = date(2027, 3, 16)
PLAIN = Assumptions(half_life_years=None, draws=2000)

# TRADE table 2A.
BINDING = StageFigures(key="binding", low=4, likely=7, high=12, batch_savings={2: 0.15, 4: 0.20})
FRETS = StageFigures(key="frets", low=2.5, likely=4, high=6, batch_savings={2: 0.15, 4: 0.20})
STAGES = [BINDING, FRETS]


def past(ago, binding=7.0, frets=4.0, **fields):
    """A build finished `ago` months back, unless said otherwise."""
    finished = fields.pop("finished", TODAY - timedelta(days=30 * ago + 1))
    hours = {"binding": float(binding), "frets": float(frets)}
    return PastBuild(
        key=f"build {ago}",
        started=finished - timedelta(days=20),
        finished=finished,
        **{"hours": hours, **fields},
    )


def estimate(builds, assumptions=PLAIN, stages=STAGES, **wanted):
    return estimate_hours(stages, builds, EstimateRequest(**{"on": TODAY, **wanted}), assumptions)


def binding(builds, assumptions=PLAIN, **wanted):
    return estimate(builds, assumptions, **wanted).stages[0]
