"""A row that is taken out of a draft, sealed so that one tap puts it back as it was."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.core import serializers, signing

from inventory.refusals import Refusal
from quotes.models import QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage

Row = QuoteStage | QuoteMaterial | QuoteExtra | QuoteFailure

SALT = "row taken out"
KEPT_SECONDS = 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenRow:
    """A row with what goes along with it: its failures, and the failures that named it.

    `redone_from` and `lost_in` are the keys of other failures that named this stage or material.
    """

    quote: int
    rows: str
    redone_from: tuple[int, ...]
    lost_in: tuple[int, ...]


def seal(row: Row) -> str:
    """Write a row so that it can travel through a page and come back unchanged."""
    return signing.dumps(
        {
            "quote": row.quote_id,
            "rows": serializers.serialize("json", [row, *_own_failures(row)]),
            "redone_from": _keys(QuoteFailure.objects.filter(redo_from=row.pk))
            if isinstance(row, QuoteStage)
            else [],
            "lost_in": _keys(QuoteFailure.objects.filter(lost=row.pk))
            if isinstance(row, QuoteMaterial)
            else [],
        },
        salt=SALT,
        compress=True,
    )


def unseal(sealed: str) -> TakenRow:
    """Read a sealed row. Raises Refusal when it was changed, or is too old."""
    try:
        told: dict[str, Any] = signing.loads(sealed, salt=SALT, max_age=KEPT_SECONDS)
    except signing.BadSignature:
        raise Refusal("This can't be undone any more. Add the row again.") from None
    return TakenRow(
        quote=told["quote"],
        rows=told["rows"],
        redone_from=tuple(told["redone_from"]),
        lost_in=tuple(told["lost_in"]),
    )


def _own_failures(row: Row) -> Iterable[QuoteFailure]:
    return row.failures.all() if isinstance(row, QuoteStage) else ()


def _keys(failures: Iterable[QuoteFailure]) -> list[int]:
    return [failure.pk for failure in failures]
