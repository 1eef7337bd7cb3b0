"""Pictures of hours from what the queries found."""

from typing import TYPE_CHECKING

from shop.base.pictures.shapes import Picture
from shop.estimates.pictures.learning import NumberedHours, learning_picture
from shop.estimates.pictures.stage_ranges import PastDot, StageRow, stage_ranges
from shop.estimates.queries.learning import Learning
from shop.estimates.queries.sheet import EstimateSheet
from shop.hours.pictures import HoursInto, MonthHours, hours_by_month, hours_into
from shop.hours.queries.year import Into, YearRecord

if TYPE_CHECKING:
    from shop.estimates.calc.backtest import Backtest

MOST_ROWS = 14
"""What comes after so many rows of a year is drawn as one."""


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
    """Draw hours by number in the pattern."""
    rows = [
        NumberedHours(
            number=one.number, hours=one.hours, build=f"{one.build}", counted=not one.why_not
        )
        for one in learning.builds
    ]
    return learning_picture(rows, learning.curve)


def into_of(rows: tuple[Into, ...]) -> Picture:
    """Draw what the hours of a year went into; many small rows become one."""
    shown, rest = rows[:MOST_ROWS], rows[MOST_ROWS:]
    drawn = [_into(one) for one in shown]
    if rest:
        drawn.append(
            HoursInto(
                name=f"{len(rest)} more",
                hours=float(sum(one.minutes for one in rest)) / 60,
                part=float(sum(one.part for one in rest)),
                billable=all(one.billable for one in rest),
            )
        )
    return hours_into(drawn)


def months_of(record: YearRecord) -> Picture:
    """Draw the months of a year."""
    return hours_by_month(
        [
            MonthHours(
                month=one.month,
                billable=float(one.billable_minutes) / 60,
                other=float(one.minutes - one.billable_minutes) / 60,
            )
            for one in record.months
        ]
    )


def _into(one: Into) -> HoursInto:
    return HoursInto(
        name=one.name,
        hours=float(one.minutes) / 60,
        part=float(one.part),
        billable=one.billable,
    )
