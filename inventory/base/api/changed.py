"""What changed in a list since it was last asked for, and what is gone from it.

Rows are held against the marks of how they were answered, not against times of their tables: so a
change in any table that a row shows is told, a row that a filter lets go is gone, and nothing that
was committed late is missed.
"""

import hashlib
import json
import re
import zlib
from typing import Any

from django.core.cache import caches
from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.schema import key_of

CURSOR = re.compile(r"[0-9a-f]{32}")
MOST_ROWS = 5000
MARK = 12
"""So many hexadecimal digits of a row's hash: a change is missed once in 2⁴⁸."""
SINCE = OpenApiParameter(
    "since",
    {"type": "string", "maxLength": 200},
    description="The `cursor` of the answer before; left out, every row is answered.",
)


class ChangesMixin:
    """Adds to a list what changed in it, for whoever keeps a copy."""

    also_asked: frozenset[str] = frozenset()

    @extend_schema(parameters=[SINCE])
    @action(detail=False, methods=["get"], pagination_class=None)
    def changed(self, request: Request) -> Response:
        """Tell what changed in this list, with these filters, since `since`.

        `changed` are rows that are new or other than they were, `gone` the keys of rows that the
        list has no more. After a long time, or with another cursor, all rows are told: `is_whole`.
        Of at most 5,000 rows: a longer list is narrowed by its filters.
        """
        self.action, self.also_asked = "list", frozenset({"since"})
        queryset = self.filter_queryset(self.get_queryset())  # type: ignore[attr-defined]
        _check_length(queryset)
        rows = self.get_serializer(queryset, many=True).data  # type: ignore[attr-defined]
        return Response(changes(rows, key_of(self), request.query_params.get("since", "")))


def _check_length(queryset: QuerySet) -> None:
    """Raise ValidationError for a list that grows with the years: its marks alone would be much."""
    found = queryset.count()
    if found > MOST_ROWS:
        raise ValidationError(
            f"{found:,} rows are in this list, and changes are told of at most {MOST_ROWS:,}. "
            "Narrow it by a filter, such as open=true, a state or days."
        )


def changes(rows: list[Any], key: str, since: str) -> dict[str, Any]:
    """Hold `rows` against those that were answered with the cursor `since`; keep how they are."""
    now = {f"{row[key]}": _mark(row) for row in rows}
    written = json.dumps(now, sort_keys=True).encode()
    cursor = hashlib.sha256(written).hexdigest()[:32]
    kept = caches["lists"]
    found = kept.get(since) if CURSOR.fullmatch(since) else None
    before = None if found is None else json.loads(zlib.decompress(found))
    if before is None or cursor != since:
        kept.set(cursor, zlib.compress(written))
    known, as_key = before or {}, int if key == "id" else str
    return {
        "cursor": cursor,
        "is_whole": before is None,
        "changed": [row for row in rows if known.get(name := f"{row[key]}") != now[name]],
        "gone": [as_key(name) for name in known if name not in now],
    }


def _mark(row: Any) -> str:
    return hashlib.sha256(JSONRenderer().render(row)).hexdigest()[:MARK]
