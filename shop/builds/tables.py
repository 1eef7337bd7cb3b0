"""The columns of the list of builds, on its page and in its file."""

from datetime import date
from decimal import Decimal

from inventory.base.lists import Column
from shop.builds.queries.builds import BuildRow


def build_columns() -> list[Column]:
    """Return the columns of the list."""
    return [
        Column(
            key="build", label="Build", order=("serial",), first="-", cell=lambda row: row.build
        ),
        Column(key="client", label="Client", order=("client",), cell=_client),
        Column(key="state", label="Status", order=("state",), cell=_state),
        Column(key="stage", label="Stage", cell=lambda row: row.at or ""),
        Column(key="done", label="Stages done", kind="num", cell=_done),
        Column(
            key="worked",
            label="Worked",
            order=("worked",),
            kind="num",
            first="-",
            cell=lambda row: _hours(row.minutes),
        ),
        Column(
            key="planned",
            label="Planned",
            order=("planned_hours",),
            kind="num",
            first="-",
            cell=lambda row: _hours(row.planned_minutes),
        ),
        Column(key="material", label="Material", cell=_material),
        Column(key="promised", label="Promised date", order=("promised_on",), cell=_promised),
    ]


def _client(row: BuildRow) -> str:
    return getattr(row.build, "client", None) or ""


def _state(row: BuildRow) -> str:
    return row.build.get_state_display()


def _done(row: BuildRow) -> str:
    return f"{row.stages_done} of {row.stages}"


def _hours(minutes: Decimal) -> Decimal:
    return (minutes / 60).quantize(Decimal("0.01"))


def _material(row: BuildRow) -> str:
    return f"{row.lines_short} of {row.lines} short" if row.lines_short else ""


def _promised(row: BuildRow) -> date | str:
    return row.build.promised_on or ""
