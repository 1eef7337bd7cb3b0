"""The index itself: the words of all that is found, on either database.

SQLite keeps it as an FTS5 table, PostgreSQL as a column of `tsvector`; both hold the tokens that
`calc` makes. A row's number counts keys down within its kind, so that the newest come first.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import connection

from quotes.search.calc import pairs_of, tokens_of
from quotes.search.queries.kinds import KEYS, Kind

CANDIDATES = 200
"""Words that are compared with a misspelt one."""

Value = int | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the index."""

    number: int
    key: str
    title: str
    words: str


def newest_by_kind(terms: list[str], *, most: int, in_title: bool = False) -> dict[int, list[int]]:
    """Return the numbers of up to `most` rows of each kind that hold every term. One query."""
    condition, values = _condition(terms, in_title=in_title)
    newest: dict[int, list[int]] = {}
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT number FROM (SELECT {number()} AS number, row_number() OVER"
            f" (PARTITION BY {number()} >> {KEYS} ORDER BY {number()}) AS place"
            f" FROM search_text WHERE {condition}) AS found WHERE place <= %s",
            [*values, most],
        )
        for (found,) in cursor.fetchall():
            newest.setdefault(found >> KEYS, []).append(found)
    return newest


def rows_numbered(numbers: Iterable[int]) -> dict[int, Row]:
    """Return rows by their numbers. One query."""
    wanted = list(numbers)
    marks = ", ".join(["%s"] * len(wanted)) or "NULL"
    return {row.number: row for row in _rows(f"{number()} IN ({marks})", wanted)}


def rows_of(kind: Kind, terms: list[str], *, most: int, skip: int) -> list[Row]:
    """Return rows of a kind that hold every term, the newest first. One query."""
    condition, values = _condition(terms, in_title=False)
    return _rows(
        f"{condition} AND {number()} BETWEEN %s AND %s ORDER BY {number()} LIMIT %s OFFSET %s",
        [*values, kind.first, kind.last, most, skip],
    )


def is_found(term: str) -> bool:
    """Say whether any row has a term."""
    condition, values = _condition([term], in_title=False)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT 1 FROM search_text WHERE {condition} LIMIT 1", values)
        return cursor.fetchone() is not None


def words_like(word: str) -> list[str]:
    """Return the words of the index that share the most pairs of letters with `word`."""
    pairs = pairs_of(word)
    if not pairs:
        return []
    shared = " + ".join(["CASE WHEN word LIKE %s THEN 1 ELSE 0 END"] * len(pairs))
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT word FROM search_word ORDER BY {shared} DESC, length(word), word LIMIT %s",
            [*(f"%{pair}%" for pair in pairs), CANDIDATES],
        )
        return [found for (found,) in cursor.fetchall()]


def something_is_stale() -> bool:
    """Say whether rows changed since the index was last brought up to date."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM search_stale LIMIT 1")
        return cursor.fetchone() is not None


def number() -> str:
    """Return what the index's own number is called: FTS5 has a name of its own for it."""
    return "rowid" if connection.vendor == "sqlite" else "id"


def _condition(terms: list[str], *, in_title: bool) -> tuple[str, list[Value]]:
    """Every token is matched whole, but the last one of a term as the beginning of a word."""
    tokens = [(token, token is tokens[-1]) for tokens in map(tokens_of, terms) for token in tokens]
    if connection.vendor == "sqlite":
        every = " AND ".join(f'"{token}"{"*" if open_ else ""}' for token, open_ in tokens)
        return "search_text MATCH %s", [f"named : ({every})" if in_title else every]
    column = "named" if in_title else "tokens"
    every = " & ".join(f"{token}:*" if open_ else token for token, open_ in tokens)
    return f"{column} @@ to_tsquery('simple', %s)", [every]


def _rows(condition: str, values: Sequence[Value]) -> list[Row]:
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {number()}, key, title, words FROM search_text WHERE {condition}", values
        )
        return [
            Row(number=found, key=key, title=title, words=words)
            for found, key, title, words in cursor.fetchall()
        ]
