"""Add a row to a draft: a stage, a material or a line of the maker's own."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import Max

from inventory.refusals import Refusal
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteExtra, QuoteMaterial, QuoteStage
from quotes.queries.costing import cost_line
from quotes.queries.taxing import own_rate_of

Row = QuoteStage | QuoteMaterial | QuoteExtra
KINDS: Mapping[str, type[Row]] = {
    "stage": QuoteStage,
    "material": QuoteMaterial,
    "extra": QuoteExtra,
}


@transaction.atomic
def add_row(*, quote: Quote, of: str, **fields: Any) -> Row:
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


def _last(model: type[Row], draft: Quote) -> int:
    rows = model._default_manager.filter(quote=draft)
    return rows.aggregate(last=Max("position"))["last"] or 0
