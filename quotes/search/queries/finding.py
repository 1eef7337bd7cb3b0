"""What a search finds, by kind, the best first."""

from dataclasses import dataclass, field

from django.urls import reverse

from quotes.search.calc import excerpt, nearest_word, rank, terms_of, tokens_of
from quotes.search.queries.index import (
    Row,
    is_found,
    newest_by_kind,
    rows_numbered,
    rows_of,
    words_like,
)
from quotes.search.queries.kinds import BY_CODE, KINDS, Kind

FEW = 6
"""Rows of a kind among all kinds; the rest on a page of their own."""

LOOKED_THROUGH = 25
"""Newest rows of a kind from which the best few are picked."""

PAGE = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """One row that was found: what it is called, words around what was typed, and its page."""

    title: str
    words: str
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What was found of one kind."""

    code: int
    name: str
    hits: list[Hit]
    has_more: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The answer to what was typed; `meant` is what was searched for instead of a misspelt word."""

    typed: str
    meant: str = ""
    groups: list[Group] = field(default_factory=list)

    @property
    def only_hit(self) -> Hit | None:
        """The one row that was found, if it is the only one."""
        hits = [hit for group in self.groups for hit in group.hits]
        return hits[0] if len(hits) == 1 else None


def find(typed: str) -> Found:
    """Return what holds every word typed, of every kind; three questions if something is found."""
    terms = terms_of(typed)
    if not terms:
        return Found(typed="")
    groups = _groups(terms)
    if groups:
        return Found(typed=typed, groups=groups)
    meant = [_meant(term) for term in terms]
    if meant == terms:
        return Found(typed=typed)
    return Found(typed=typed, meant=" ".join(meant), groups=_groups(meant))


def find_of_kind(typed: str, code: int, page: int) -> Found:
    """Return a page (from 1) of one kind's rows with every word typed, the newest first."""
    terms, kind = terms_of(typed), BY_CODE[code]
    if not terms:
        return Found(typed="")
    rows = rows_of(kind, terms, most=PAGE + 1, skip=(page - 1) * PAGE)
    return Found(typed=typed, groups=[_group(kind, rows, terms, PAGE)] if rows else [])


def _groups(terms: list[str]) -> list[Group]:
    named = newest_by_kind(terms, most=LOOKED_THROUGH, in_title=True)
    told = newest_by_kind(terms, most=LOOKED_THROUGH)
    numbers = {code: {*named.get(code, []), *found} for code, found in told.items()}
    rows = rows_numbered(set().union(*numbers.values()))
    groups = []
    for kind in KINDS:
        of_kind = [rows[number] for number in numbers.get(kind.code, ()) if number in rows]
        best = sorted(of_kind, key=lambda row: (rank(row.title, terms), row.number))
        groups.append(_group(kind, best, terms, FEW))
    return [group for group in groups if group.hits]


def _group(kind: Kind, rows: list[Row], terms: list[str], most: int) -> Group:
    return Group(
        code=kind.code,
        name=kind.name,
        hits=[_hit(kind, row, terms) for row in rows[:most]],
        has_more=len(rows) > most,
    )


def _hit(kind: Kind, row: Row, terms: list[str]) -> Hit:
    return Hit(
        title=row.title,
        words=excerpt(row.words, terms),
        url=reverse(kind.page, args=[*kind.within, row.key]),
    )


def _meant(term: str) -> str:
    if is_found(term):
        return term
    [word, *more] = tokens_of(term)
    return term if more else nearest_word(word, words_like(word)) or term
