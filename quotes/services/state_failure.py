"""State what may go wrong in a stage of a draft: how often, what is redone and what is lost."""

from collections.abc import Collection
from decimal import Decimal

from django.db import transaction

from inventory.refusals import Refusal
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteFailure, QuoteMaterial, QuoteStage


@transaction.atomic
def state_failure(
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
    _check(row, draft, lost)
    row.save()
    row.lost.set(lost)
    return row


def _check(row: QuoteFailure, draft: Quote, lost: Collection[QuoteMaterial]) -> None:
    quotes = {row.quote_id, row.stage.quote_id, *(line.quote_id for line in lost)}
    quotes |= {row.redo_from.quote_id} if row.redo_from else set()
    if quotes != {draft.pk}:
        raise Refusal("That row is not part of this quote. Load the page again.")
    if not row.name:
        raise Refusal("Say in a few words what goes wrong.", field="name")
    if row.one_in < 2:
        raise Refusal("It goes wrong in one of 2 builds at most.", field="one_in")
    if row.hours is not None and row.hours < 0:
        raise Refusal("Hours are 0 or more.", field="hours")
    if row.redo_from and row.redo_from.position > row.stage.position:
        raise Refusal("That stage comes later. Choose an earlier one.", field="redo_from")
