"""Change rows of a draft: hours of stages, quantities and costs of materials, own lines."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import models, transaction

from inventory.models import Lot
from inventory.refusals import Refusal
from inventory.stock_refusals import check_stands_in
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteExtra, QuoteMaterial, QuoteStage
from quotes.queries.costing import cost_line
from quotes.queries.taxing import own_rate_of

Changes = Mapping[int, Mapping[str, Any]]
NO_CHANGES: Changes = {}
STAGE_FIELDS = {"name", "hours", "hours_low", "hours_high", "waiting_days", "basis", "position"}
MATERIAL_FIELDS = {
    "name", "family", "material", "lot", "quantity", "unit", "seed_cost", "cost_override",
    "markup", "waste_rule", "waste_rate", "spares", "cut_length_mm", "stock_length_mm", "kerf_mm",
    "least_remnant_mm", "position", "tax_kind", "tax_rate",
}  # fmt: skip
EXTRA_FIELDS = {"kind", "name", "cost", "markup", "tax_kind", "tax_rate"}


@transaction.atomic
def change_rows(
    *,
    quote: Quote,
    stages: Changes = NO_CHANGES,
    materials: Changes = NO_CHANGES,
    extras: Changes = NO_CHANGES,
) -> Quote:
    """Write fields into rows of a draft, each given by its key; hours typed in say so.

    Raises NotADraft, and Refusal on a row of another quote, a field that can't be changed, a
    negative figure, or a unit that doesn't fit the material.
    """
    draft = lock_draft(quote)
    _write(draft.stages.all(), _with_basis(draft.stages.all(), stages), STAGE_FIELDS)
    _write(draft.materials.select_related("material"), materials, MATERIAL_FIELDS)
    _write(draft.extras.all(), extras, EXTRA_FIELDS)
    return draft


def _with_basis(rows: Iterable[QuoteStage], changes: Changes) -> Changes:
    hours = {row.pk: row.hours for row in rows}
    return {
        key: {"basis": "set by hand"} | dict(fields)
        if "hours" in fields and fields["hours"] != hours.get(key)
        else fields
        for key, fields in changes.items()
    }


def _write(rows: models.QuerySet[Any], changes: Changes, allowed: set[str]) -> None:
    found = {row.pk: row for row in rows.filter(pk__in=list(changes))}
    for key, fields in changes.items():
        if key not in found:
            raise Refusal("That row is not part of this quote. Load the page again.")
        if unknown := sorted(set(fields) - allowed):
            raise Refusal(f"A row's {', '.join(unknown)} can't be changed.", field=unknown[0])
        row = found[key]
        changed = {name for name, value in fields.items() if getattr(row, name) != value}
        for name, value in fields.items():
            setattr(row, name, value)
        _check(row, changed)
        row.save(update_fields=list(fields))


def _check(row: QuoteStage | QuoteMaterial | QuoteExtra, changed: set[str]) -> None:
    row.clean_fields(exclude=[f.name for f in row._meta.fields if f.name not in changed])
    for name in changed & {"hours", "hours_low", "hours_high", "waiting_days", "quantity"}:
        if getattr(row, name) < 0:
            raise Refusal(f"{row.name}: the figure can't be below 0.", field=name)
    if not isinstance(row, QuoteStage):
        own_rate_of(row)
    if isinstance(row, QuoteMaterial):
        cost_line(row)
        if row.lot is not None and changed & {"lot", "material"}:
            _check_piece(row, row.lot, changed)


def _check_piece(row: QuoteMaterial, lot: Lot, changed: set[str]) -> None:
    """A piece of another material may be chosen, but is not left behind by a change of material."""
    if lot.material_id == row.material_id:
        return
    if "lot" not in changed:
        raise Refusal(
            f"{lot.number} is chosen for {row.name}, and is {lot.material}. "
            "Leave the piece open first, or choose another one.",
            field="lot",
        )
    if row.material is None:
        raise Refusal(f"Name the material of {row.name} before its piece.", field="material")
    check_stands_in(lot, row.material, row.name)
