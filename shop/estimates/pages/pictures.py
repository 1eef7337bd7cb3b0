"""Pictures of hours from what the queries found."""

from typing import TYPE_CHECKING

from shop.base.pictures.shapes import Picture
from shop.estimates.pictures.learning import NumberedHours, learning_picture
from shop.estimates.pictures.stage_ranges import PastDot, StageRow, stage_ranges
from shop.estimates.queries.learning import Learning
from shop.estimates.queries.sheet import EstimateSheet

if TYPE_CHECKING:
    from shop.estimates.calc.backtest import Backtest

MOST_DOTS = 200
"""Builds in a picture of the learning curve."""


def ranges_of(sheet: EstimateSheet) -> Picture:
    """Draw an estimate stage by stage."""
    return stage_ranges(
        [
            StageRow(
                name=row.stage.name,
                hours=row.hours,
                past=[
                    PastDot(
                        build=f"{one.build}",
                        hours=one.hours,
                        weight=one.weight,
                        counted=not one.aside_by,
                    )
                    for one in row.behind
                ],
            )
            for row in sheet.stages
        ]
    )


def calibration_of(found: "Backtest") -> Picture:
    """Draw how often the truth fell within the ranges."""
    from shop.estimates.pictures.calibration import calibration_picture

    return calibration_picture(found.calibration, found.total.count)


def learning_curve_of(learning: Learning) -> Picture:
    """Draw hours by number in the pattern; of very many builds only some, evenly spread."""
    every = -(-len(learning.builds) // MOST_DOTS)
    rows = [
        NumberedHours(
            number=one.number, hours=one.hours, build=f"{one.build}", counted=not one.why_not
        )
        for one in learning.builds[:: max(every, 1)]
    ]
    return learning_picture(rows, learning.curve)
