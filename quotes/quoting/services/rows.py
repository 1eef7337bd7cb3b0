"""Rows of a draft: added, edited, removed and put back, with what may fail."""

from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.core import serializers
from django.db import models, transaction
from django.db.models import Max

from inventory.base.refusals import Refusal
from inventory.ledger.refusals import check_stands_in
from inventory.models import Lot
from quotes.base.locking import lock_draft
from quotes.models import Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage
from quotes.pricing.queries.costing import cost_line
from quotes.pricing.queries.taxing import own_rate_of
from quotes.quoting.bookkeeping import TakenRow

AddedRow = QuoteStage | QuoteMaterial | QuoteExtra
KINDS: Mapping[str, type[AddedRow]] = {
    "stage": QuoteStage,
    "material": QuoteMaterial,
    "extra": QuoteExtra,
}


@transaction.atomic
def add_row(*, quote: Quote, of: str, **fields: Any) -> AddedRow:
    """Return the new row; `of` is stage, material or extra. It comes last of its kind.

    Raises NotADraft, and Refusal without a name or with figures that can't be priced.
    """
    draft = lock_draft(quote)
    model = KINDS[of]
    if not str(fields.get("name", "")).strip():
        raise Refusal("Give the line a name.", field="name")
    if model is not QuoteExtra:
        fields["position"] = _last(model, draft) + 1
    if model is QuoteStage:
        fields.setdefault("basis", "set by hand")
    row = model(quote=draft, **fields)
    row.full_clean()
    if not isinstance(row, QuoteStage):
        own_rate_of(row)
    if isinstance(row, QuoteMaterial):
        cost_line(row)
    row.save()
    return row


def _last(model: type[AddedRow], draft: Quote) -> int:
    rows = model._default_manager.filter(quote=draft)
    return rows.aggregate(last=Max("position"))["last"] or 0


@transaction.atomic
def remove_row(*, row: QuoteStage | QuoteMaterial | QuoteExtra | QuoteFailure) -> None:
    """Delete one row. Raises NotADraft once its quote was sent."""
    lock_draft(row.quote)
    row.delete()


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
def edit_rows(
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
            raise Refusal("That row is no longer in this quote. Reload the page.")
        if unknown := sorted(set(fields) - allowed):
            raise Refusal(f"A row's {', '.join(unknown)} can't be edited.", field=unknown[0])
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
            raise Refusal(f"{row.name}: the value can't be below 0.", field=name)
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
            "Clear the piece first, or choose another one.",
            field="lot",
        )
    if row.material is None:
        raise Refusal(f"Choose the material of {row.name} before its piece.", field="material")
    check_stands_in(lot, row.material, row.name)


@transaction.atomic
def restore_row(*, quote: Quote, taken: TakenRow) -> None:
    """Write the row as it was, at its place.

    Raises NotADraft, and Refusal where it is back already.
    """
    draft = lock_draft(quote)
    rows = list(serializers.deserialize("json", taken.rows))
    first = rows[0].object
    if taken.quote != draft.pk:
        raise Refusal("This row is not part of this quote.")
    if type(first)._default_manager.filter(pk=first.pk).exists():
        raise Refusal(f"{first} is back already.")
    for row in rows:
        row.save()
    failures = QuoteFailure.objects.filter(quote=draft)
    failures.filter(pk__in=taken.redone_from).update(redo_from=first.pk)
    for failure in failures.filter(pk__in=taken.lost_in):
        failure.lost.add(first.pk)


@transaction.atomic
def set_failure_risk(
    *,
    quote: Quote,
    name: str,
    stage: QuoteStage,
    one_in: int,
    hours: Decimal | None = None,
    redo_from: QuoteStage | None = None,
    lost: Collection[QuoteMaterial] = (),
    failure: QuoteFailure | None = None,
) -> QuoteFailure:
    """Return the new failure, or `failure` as it is stated now.

    Without `hours`, all from `redo_from`, or of the stage alone, are redone. Raises NotADraft, and
    Refusal on rows of another quote and on figures that can't be meant.
    """
    draft = lock_draft(quote)
    row = failure or QuoteFailure(quote=draft)
    row.name, row.stage, row.one_in, row.hours = name.strip(), stage, one_in, hours
    row.redo_from = redo_from
    _check_of_state_failure(row, draft, lost)
    row.save()
    row.lost.set(lost)
    return row


def _check_of_state_failure(
    row: QuoteFailure, draft: Quote, lost: Collection[QuoteMaterial]
) -> None:
    quotes = {row.quote_id, row.stage.quote_id, *(line.quote_id for line in lost)}
    quotes |= {row.redo_from.quote_id} if row.redo_from else set()
    if quotes != {draft.pk}:
        raise Refusal("That row is no longer in this quote. Reload the page.")
    if not row.name:
        raise Refusal("Say briefly what goes wrong.", field="name")
    if row.one_in < 2:
        raise Refusal("Give 2 or more: one build in 2 is the most.", field="one_in")
    if row.hours is not None and row.hours < 0:
        raise Refusal("Hours must be 0 or more.", field="hours")
    if row.redo_from and row.redo_from.position > row.stage.position:
        raise Refusal("That stage comes later. Choose an earlier one.", field="redo_from")
