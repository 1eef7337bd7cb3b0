"""The only place where the rows of one quote are copied into another."""

from typing import TypeVar

from django.db.models import QuerySet

from quotes.models import Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage

Row = TypeVar("Row", QuoteStage, QuoteMaterial, QuoteExtra)


def copy_rows(old: Quote, new: Quote) -> dict[str, str]:
    """Copy every row, and return the key of each with that of its copy: `stage:3`, `stage:9`."""
    stages = _copied(old.stages.all(), new)
    materials = _copied(old.materials.all(), new)
    extras = _copied(old.extras.all(), new)
    _copy_failures(old, new, stages, materials)
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
