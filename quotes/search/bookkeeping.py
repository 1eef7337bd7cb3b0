"""Keeps the index: triggers note which rows changed, and the next search takes them in.

Every way in which a row can change passes the database, so no service has to think of the index.
A trigger names no table but its own and the one of notes, so that tables can be altered around it.
"""

from collections.abc import Iterable
from typing import TypeVar

from django.db import connection

from inventory.base.lists import batched
from quotes.search.calc import named_by, tokens_of, words_to_mean
from quotes.search.queries.index import number as number_column
from quotes.search.queries.kinds import BY_CODE, KINDS, Kind, Text, takers_of, texts_of

Item = TypeVar("Item")
AT_ONCE = 500
LOCK = 0x6772616D
"""A number of our own for PostgreSQL's advisory lock."""

TRIGGERS = {
    "sqlite": "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname, tgrelid::regclass::text FROM pg_trigger WHERE NOT tgisinternal",
}
WRITE = {
    "sqlite": (
        "INSERT INTO search_text (rowid, key, title, words, named, told)"
        " VALUES (%s, %s, %s, %s, %s, %s)"
    ),
    "postgresql": (
        "INSERT INTO search_text (id, key, title, words, named, tokens) SELECT number, key, title,"
        " words, to_tsvector('simple', named), to_tsvector('simple', named || ' ' || told)"
        " FROM (VALUES (%s, %s, %s, %s, %s, %s)) AS row (number, key, title, words, named, told)"
    ),
}
TAKE_NOTES = "DELETE FROM search_stale RETURNING kind, row"
NOTE_ALL = "INSERT INTO search_stale (kind, row) VALUES (%s, NULL)"


def take_in_changes() -> None:
    """Bring the index up to date with the rows that changed. Call within a transaction."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])
        cursor.execute(TAKE_NOTES)
        notes = cursor.fetchall()
    whole = {kind for kind, row in notes if row is None} & BY_CODE.keys()
    for code in whole:
        _index_all(BY_CODE[code])
    changed = _keys_by_kind((kind, row) for kind, row in notes if row is not None)
    for code, keys in changed.items():
        if code not in whole:
            _index(BY_CODE[code], keys)
    for code, keys in changed.items():
        for kind, takers in takers_of(code, sorted(keys)):
            _index(kind, takers)


def unwatched() -> list[Kind]:
    """Return the kinds that lack a trigger: a table was altered, or a kind is told anew."""
    there = set(triggers())
    return [kind for kind in KINDS if not there.issuperset(_triggers_of(kind))]


def outdated_triggers() -> list[str]:
    """Return triggers that watch what the index no longer holds so."""
    wanted = {name for kind in KINDS for name in _triggers_of(kind)}
    return [name for name in triggers() if name not in wanted]


def is_there() -> bool:
    """Say whether the database has an index: not before its migration was applied."""
    return "search_stale" in connection.introspection.table_names()


def watch(kind: Kind) -> None:
    """Set the triggers of a kind, and note that all of its rows have to be taken in."""
    drop_triggers(name for name in triggers() if name in _triggers_of(kind))
    with connection.cursor() as cursor:
        for sql in _triggers_of(kind).values():
            cursor.execute(sql)
        cursor.execute(NOTE_ALL, [kind.code])


def drop_triggers(names: Iterable[str]) -> None:
    """Take triggers away by their names."""
    tables = triggers()
    with connection.cursor() as cursor:
        for name in names:
            where = "" if connection.vendor == "sqlite" else f" ON {tables[name]}"
            cursor.execute(f"DROP TRIGGER {name}{where}")


def triggers() -> dict[str, str]:
    """Return the table of every trigger of the index, by the trigger's name."""
    with connection.cursor() as cursor:
        cursor.execute(TRIGGERS[connection.vendor])
        return {name: table for name, table in cursor.fetchall() if name.startswith("search_")}


def _triggers_of(kind: Kind) -> dict[str, str]:
    if connection.vendor == "sqlite":
        return _sqlite_triggers(kind)
    return _postgresql_triggers(kind)


def _sqlite_triggers(kind: Kind) -> dict[str, str]:
    events = {
        "new": ("INSERT", "new"),
        "gone": ("DELETE", "old"),
        "told": (f"UPDATE OF {', '.join(kind.columns)}", "new"),
    }
    return {
        f"{kind.mark}_{word}": (
            f"CREATE TRIGGER {kind.mark}_{word} AFTER {event} ON {kind.table} BEGIN"
            f" INSERT INTO search_stale (kind, row) VALUES ({kind.code}, {row}.{_key(kind)}); END"
        )
        for word, (event, row) in events.items()
    }


def _postgresql_triggers(kind: Kind) -> dict[str, str]:
    """Columns are named to the function only: PostgreSQL would let no migration alter them else."""
    columns = "', '".join(kind.columns)
    told = f"search_note('{kind.code}', '{_key(kind)}', '{columns}')"
    return {
        f"{kind.mark}_told": (
            f"CREATE TRIGGER {kind.mark}_told AFTER INSERT OR UPDATE OR DELETE ON {kind.table}"
            f" FOR EACH ROW EXECUTE FUNCTION {told}"
        ),
        f"{kind.mark}_none": (
            f"CREATE TRIGGER {kind.mark}_none AFTER TRUNCATE ON {kind.table}"
            f" EXECUTE FUNCTION {told}"
        ),
    }


def _key(kind: Kind) -> str:
    return str(kind.model._meta.pk.column)


def _keys_by_kind(notes: Iterable[tuple[int, int]]) -> dict[int, set[int]]:
    keys: dict[int, set[int]] = {}
    for kind, row in notes:
        if kind in BY_CODE:
            keys.setdefault(kind, set()).add(row)
    return keys


def _index_all(kind: Kind) -> None:
    column = number_column()
    with connection.cursor() as cursor:
        cursor.execute(
            f"DELETE FROM search_text WHERE {column} BETWEEN %s AND %s", [kind.first, kind.last]
        )
    for texts in batched(texts_of(kind), AT_ONCE):
        _write(texts)


def _index(kind: Kind, keys: Iterable[int]) -> None:
    for some in batched(sorted(keys), AT_ONCE):
        with connection.cursor() as cursor:
            cursor.executemany(
                f"DELETE FROM search_text WHERE {number_column()} = %s",
                [(kind.number(key),) for key in some],
            )
        _write(texts_of(kind, some))


def _write(texts: Iterable[Text]) -> None:
    words: set[str] = set()
    rows = []
    for number, key, title, told in texts:
        named, others = named_by(title), tokens_of(told)
        words |= words_to_mean([*named, *others])
        rows.append((number, key, title, told, " ".join(named), " ".join(others)))
    with connection.cursor() as cursor:
        cursor.executemany(WRITE[connection.vendor], rows)
        cursor.executemany(
            "INSERT INTO search_word (word) VALUES (%s) ON CONFLICT DO NOTHING",
            [(word,) for word in sorted(words)],
        )
