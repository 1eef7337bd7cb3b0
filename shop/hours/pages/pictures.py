"""Pictures of a year's hours from what the queries found."""

from shop.base.pictures.shapes import Picture
from shop.hours.pictures import HoursInto, MonthHours, hours_by_month, hours_into
from shop.hours.queries.year import Into, YearRecord

MOST_ROWS = 14
"""What comes after so many rows of a year is drawn as one."""


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
