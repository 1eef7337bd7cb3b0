"""Rows copied from quote to quote, and a removed row sealed so that it can be put back."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar

from django.core import serializers, signing
from django.db.models import Max, QuerySet

from inventory.base.refusals import Refusal
from quotes.models import Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteSpec, QuoteStage

Row = TypeVar("Row", QuoteStage, QuoteMaterial, QuoteExtra)


def copy_rows(old: Quote, new: Quote) -> dict[str, str]:
    """Copy every row, and return the key of each with that of its copy: `stage:3`, `stage:9`."""
    stages = _copied(old.stages.all(), new)
    materials = _copied(old.materials.all(), new)
    extras = _copied(old.extras.all(), new)
    _copy_failures(old, new, stages, materials)
    _copy_specs(old, new, materials)
    return {
        **_names("stage", stages),
        **_names("material", materials),
        **_names("extra", extras),
    }


def _copied(rows: QuerySet[Row], new: Quote) -> dict[int, Row]:
    """Return the copies by the key of what they are copies of."""
    copies = list(rows)
    keys = [row.pk for row in copies]
    for row in copies:
        row.pk = None
        row.quote = new
    return dict(zip(keys, rows.model._default_manager.bulk_create(copies), strict=True))


def _copy_specs(old: Quote, new: Quote, materials: dict[int, QuoteMaterial]) -> None:
    rows = list(old.specs.all())
    for row in rows:
        row.pk, row.quote = None, new
        row.material = materials.get(row.material_id or 0)
    QuoteSpec.objects.bulk_create(rows)


def _copy_failures(
    old: Quote, new: Quote, stages: dict[int, QuoteStage], materials: dict[int, QuoteMaterial]
) -> None:
    for failure in old.failures.prefetch_related("lost"):
        copy = QuoteFailure.objects.create(
            quote=new,
            stage=stages[failure.stage_id],
            name=failure.name,
            one_in=failure.one_in,
            hours=failure.hours,
            redo_from=stages.get(failure.redo_from_id or 0),
        )
        copy.lost.set(materials[line.pk] for line in failure.lost.all())


def _names(kind: str, copies: dict[int, Row]) -> dict[str, str]:
    return {f"{kind}:{key}": f"{kind}:{copy.pk}" for key, copy in copies.items()}


OF_THE_ORDER = (
    "shop_rate", "rush", "dealer_discount", "prices_with_tax", "bought_tax_rate", "tax_kind",
    "tax_rate", "shipping_tax_rate", "currency", "exchange_rate", "exchange_rate_on",
    "currency_buffer", "client_step", "parts", "valid_days", "terms",
)  # fmt: skip
"""Fields that all instruments of an order have in common."""
ONCE = ("shipping", "fee_percent", "fee_fixed")
"""Fields that count once in an order: they stand at its first instrument."""


def into_order(order: Quote, one: Quote) -> None:
    """Make a draft an instrument of another draft's order, on that order's terms.

    It has the place that it had before it was taken out, and otherwise the last one.
    """
    last = order.further.exclude(pk=one.pk).aggregate(last=Max("place"))["last"] or 0
    one.part_of, one.place = order, one.place or last + 1
    for name in OF_THE_ORDER:
        setattr(one, name, getattr(order, name))
    for name in ONCE:
        setattr(one, name, Decimal(0))
    one.save()


RemovedRow = QuoteStage | QuoteMaterial | QuoteExtra | QuoteFailure

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


def sealed_row(row: RemovedRow) -> str:
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


def row_unsealed(sealed: str) -> TakenRow:
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


def _own_failures(row: RemovedRow) -> Iterable[QuoteFailure]:
    return row.failures.all() if isinstance(row, QuoteStage) else ()


def _keys(failures: Iterable[QuoteFailure]) -> list[int]:
    return [failure.pk for failure in failures]
