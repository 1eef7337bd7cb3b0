"""A list one can work with: sorted by any head, filtered by its address, sent as a file.

The address says everything: `sort=name` or `sort=-name`, the list's own filters, `page`, and
`as=csv` for the rows shown, without pages. A link to a list is the list as it was seen.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import islice
from typing import Any, TypeVar

from django.core.paginator import Page, Paginator
from django.db.models import F, QuerySet
from django.http import HttpRequest, StreamingHttpResponse

from inventory.base.tables import CSV, csv_parts

Item = TypeVar("Item")
PAGE = 50
PART = 200
"""Rows of a file that are worked out at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a list: its head, the fields that sort it, its class, and its cell in a file.

    `help` is its line of the vocabulary. Without `order` it can't be sorted by; `first` says
    which way its first click goes. What is `beside` stands in another one's cell on the page, and
    has a column of its own in a file.
    """

    key: str
    label: str
    order: tuple[str, ...] = ()
    kind: str = ""
    first: str = ""
    help: str = ""
    beside: bool = False
    cell: Callable[[Any], Any] | None = None


def of_field(key: str, label: str, field: str, **more: Any) -> Column:
    """Return the column of one field, or of one that is reached by `__`; empty where it is None."""
    return Column(key=key, label=label, order=(field,), cell=partial(_value, field), **more)


def figure(key: str, label: str, field: str, **more: Any) -> Column:
    """Return the column of a field of figures: set to the right, sorted from the largest first."""
    return of_field(key, label, field, **{"kind": "num", "first": "-"} | more)


def _value(field: str, row: Any) -> Any:
    for name in field.split("__"):
        row = getattr(row, name, None)
    return "" if row is None else row


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A head as it is shown: `sort` is what the address says after a click on it, if anything."""

    label: str
    kind: str
    sort: str
    direction: str
    help: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """The rows of one page, the heads over them, and the choices of order for a phone."""

    page: Page[Any]
    heads: list[Head]
    sort: str
    choices: list[tuple[str, str]]


def listing(request: HttpRequest, rows: QuerySet[Any], columns: Sequence[Column]) -> Listing:
    """Return one page of `rows` in the order that the address asks for."""
    sort = _asked(request, columns)
    page = Paginator(in_order(request, rows, columns), PAGE).get_page(request.GET.get("page"))
    return Listing(
        page=page,
        heads=[_head(column, sort) for column in columns if not column.beside],
        sort=sort,
        choices=[choice for column in columns if column.order for choice in _choices(column)],
    )


def in_order(request: HttpRequest, rows: QuerySet[Any], columns: Sequence[Column]) -> QuerySet[Any]:
    """Return `rows` sorted as the address asks, else as they came; what is missing stands last."""
    sort = _asked(request, columns)
    column = next((one for one in columns if one.key == sort.removeprefix("-")), None)
    if not column:
        return rows
    down = sort.startswith("-")
    orders = [
        F(name).desc(nulls_last=True) if down else F(name).asc(nulls_last=True)
        for name in column.order
    ]
    return rows.order_by(*orders, "-pk" if down else "pk")


def asks_for_file(request: HttpRequest) -> bool:
    """Say whether the address asks for the list as a file."""
    return request.GET.get("as") == "csv"


def list_file(
    name: str, rows: Iterable[Any], columns: Sequence[Column], on: date
) -> StreamingHttpResponse:
    """Send `rows` as CSV named for the day `on`, a column for each with a `cell`; read as sent."""
    told = [(column.label, column.cell) for column in columns if column.cell]
    lines = ({label: cell(row) for label, cell in told} for row in rows)
    answer = StreamingHttpResponse(csv_parts(lines), content_type=CSV)
    file = f"{name}-{on}.csv"
    answer["Content-Disposition"] = f'attachment; filename="{file}"'
    return answer


def in_parts(
    rows: QuerySet[Any], work_out: Callable[[Sequence[Any]], Iterable[Any]]
) -> Iterator[Any]:
    """Yield what `work_out` makes of `rows`, some hundred at a time: few queries, little memory."""
    for part in batched(rows.iterator(chunk_size=PART), PART):
        yield from work_out(part)


def batched(rows: Iterable[Item], size: int) -> Iterator[list[Item]]:
    """Yield `rows` in lists of `size`, the last one shorter."""
    left = iter(rows)
    while part := list(islice(left, size)):
        yield part


def _asked(request: HttpRequest, columns: Sequence[Column]) -> str:
    sort = request.GET.get("sort", "")
    known = {column.key for column in columns if column.order}
    return sort if sort.removeprefix("-") in known else ""


def _head(column: Column, sort: str) -> Head:
    is_sorted = bool(column.order) and sort.removeprefix("-") == column.key
    down = sort.startswith("-")
    turned = column.key if down else f"-{column.key}"
    begun = column.first + column.key if column.order else ""
    return Head(
        label=column.label,
        kind=column.kind,
        sort=turned if is_sorted else begun,
        direction=("descending" if down else "ascending") if is_sorted else "",
        help=column.help,
    )


def _choices(column: Column) -> list[tuple[str, str]]:
    up = (column.key, f"{column.label}, ascending")
    down = (f"-{column.key}", f"{column.label}, descending")
    return [down, up] if column.first else [up, down]
