"""Copies rows many times over inside the database: one statement a model, on both databases."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.db import connection, models

STRIDE = 1000
"""How far apart the keys of one copy and the next lie: no table of the demo has more rows."""
TURNS = "turns"
DAYS = 20 * 365


@dataclass(frozen=True, kw_only=True)
class Copies:
    """Rows of `model` that are to be there `times` more, each copy a while further back.

    `where` picks the rows (of `old`), `links` says how often what a field points at is copied (a
    number, or SQL for the copy's number; 0 for a row that all copies share), `also` gives SQL of
    other fields. Copy `turn` of `times` lies `days * turn / times` days back.
    """

    model: type[models.Model]
    times: int
    where: str = ""
    links: dict[str, int | str] = field(default_factory=dict)
    also: dict[str, str] = field(default_factory=dict)
    days: int = DAYS


def copy_rows(wanted: Copies) -> None:
    """Write the copies in one statement."""
    fields = [one for one in wanted.model._meta.local_concrete_fields if not _is_generated(one)]
    columns = ", ".join(f'"{one.column}"' for one in fields)
    values = ", ".join(_value(one, wanted) for one in fields)
    key = wanted.model._meta.pk.column
    table = wanted.model._meta.db_table
    only = f"({wanted.where})" if wanted.where else "1 = 1"
    execute(
        f'INSERT INTO "{table}" ({columns}) SELECT {values} FROM "{table}" AS old '
        f'CROSS JOIN {TURNS} WHERE turn <= {wanted.times} AND old."{key}" < {STRIDE} AND {only}'
    )


def execute(sql: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql)


def number_the_turns(most: int) -> None:
    """Make a table with the numbers from 1 to `most`, for this connection only."""
    execute(f"CREATE TEMPORARY TABLE {TURNS} (turn integer PRIMARY KEY)")
    execute(
        f"INSERT INTO {TURNS} WITH RECURSIVE up(turn) AS "
        f"(SELECT 1 UNION ALL SELECT turn + 1 FROM up WHERE turn < {most}) SELECT turn FROM up"
    )


def turn_of(times: int, theirs: int | str) -> str:
    """Return SQL for the copy of another row that lies at the same time as this one."""
    if isinstance(theirs, str):
        return theirs
    return "turn" if theirs == times else f"(1 + (turn - 1) * {theirs} / {times})"


def varied(key: str, least: int, most: int) -> str:
    """Return SQL for a whole number within limits that jumps about with `key` and the turn."""
    return f"({least} + ({key} * 7919 + turn * 104729) % {most - least + 1})"


def earlier(column: str, days: str, *, is_day: bool) -> str:
    """Return SQL for a day or an instant `days` before the one in `column`."""
    if is_postgres():
        return f"({column} - ({days}){'' if is_day else ' * INTERVAL' + QUOTED_DAY})"
    form = "%Y-%m-%d" if is_day else "%Y-%m-%d %H:%M:%S"  # as Django writes them
    return f"strftime('{form}', {column}, (-({days})) || ' days')"


QUOTED_DAY = " '1 day'"


def year_of(column: str) -> str:
    """Return SQL for the year of a day as text."""
    if is_postgres():
        return f"to_char({column}, 'YYYY')"
    return f"strftime('%Y', {column})"


def is_postgres() -> bool:
    return connection.vendor == "postgresql"


def _is_generated(one: models.Field) -> bool:
    return bool(getattr(one, "generated", False))


def _value(one: models.Field, wanted: Copies) -> str:
    """Return SQL for a field's value in a copy."""
    old = f'old."{one.column}"'
    if one.name in wanted.also:
        return wanted.also[one.name]
    for kind, give in GIVEN.items():
        if isinstance(one, kind):
            return give(old, one, wanted)
    return old


def _key(old: str, one: models.Field, wanted: Copies) -> str:
    return f"{old} + turn * {STRIDE}"


def _link(old: str, one: models.Field, wanted: Copies) -> str:
    theirs = wanted.links.get(one.name, 0)
    return f"{old} + {turn_of(wanted.times, theirs)} * {STRIDE}" if theirs else old


def _moment(old: str, one: models.Field, wanted: Copies) -> str:
    is_day = not isinstance(one, models.DateTimeField)
    return earlier(old, f"turn * {wanted.days} / {wanted.times}", is_day=is_day)


GIVEN: dict[type[models.Field], Callable[[str, models.Field, Copies], str]] = {
    models.ForeignKey: _link,
    models.AutoField: _key,
    models.BigAutoField: _key,
    models.DateField: _moment,
}
