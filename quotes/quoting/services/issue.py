"""Issue a quote: number it, freeze every figure, and print it once."""

from datetime import date, datetime, timedelta

from inventory.base.attempts import in_attempts, run_unlocked
from inventory.base.refusals import Refusal
from inventory.base.services import next_number
from inventory.ledger.locking import lock_materials
from inventory.models import Promise
from inventory.reservations.queries import promised_materials
from inventory.reservations.services import release_reservation, release_reservations
from quotes.base.calc.numbering import DocumentNumber
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_draft
from quotes.models import Quote
from quotes.papers.bookkeeping import freeze
from quotes.pricing.queries.choices import live_choices
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.queries.pricing import stages_on
from quotes.pricing.queries.ready import ready_by_queue


@in_attempts
@atomic_with_files()
def issue_quote(*, quote: Quote, on: date, now: datetime) -> Quote:
    """Return the quote as sent: it is valid to `on` and its valid days, that day included.

    Numbers run without gaps in each year. An earlier version that is still open is replaced, and
    what was held for it is released. Raises NotADraft, and Refusal on a quote without a price or
    promised for a day that has passed.
    """
    draft = lock_draft(quote)
    work = tuple((one.pk, one.hours, one.waiting_days) for one in stages_on(draft))
    ready = run_unlocked(("ready", draft.pk, on, work), lambda: ready_by_queue(draft, on))
    offer = live_offer(draft, on=on, ready=ready)
    if offer.sheet.net <= 0:
        raise Refusal(f"{draft} has no price yet. Add stages, materials or extra lines.")
    if draft.ready_on and draft.ready_on < on:
        raise Refusal(
            f"Ready on {draft.ready_on.day} {draft.ready_on:%B %Y} has passed. "
            "Give a later day, or leave it empty.",
            field="ready_on",
        )
    # Locked before the number is: what is held for this version and for those it replaces.
    versions = Quote.objects.filter(commission=draft.commission_id)
    lock_materials(promised_materials(one.holder for one in versions))
    draft.issued_on = on
    draft.valid_until = on + timedelta(days=draft.valid_days)
    draft.number = draft.number or _number(on)
    draft.state = Quote.State.ISSUED
    freeze(draft, offer, live_choices(draft, offer, on=on))
    draft.save()
    _let_go_of_others(draft, now)
    _replace_earlier(draft, now)
    return draft


def _number(on: date) -> str:
    """Take the next number of the year; one that is rolled back is given again."""
    return str(DocumentNumber("Q", on.year, next_number(series=f"quote:{on.year}")))


def _let_go_of_others(issued: Quote, now: datetime) -> None:
    """Let go of pieces that were held for rows which have named another piece since."""
    named = {row.hold_key: row.lot_id for row in issued.materials.exclude(lot=None)}
    held = Promise.objects.filter(holder=issued.holder, outstanding__gt=0, line__in=named)
    for promise in held.select_related("material"):
        if promise.lot_id != named[promise.line]:
            release_reservation(promise=promise, now=now)


def _replace_earlier(issued: Quote, now: datetime) -> None:
    earlier = Quote.objects.filter(number=issued.number, state=Quote.State.ISSUED)
    for old in earlier.exclude(pk=issued.pk):
        release_reservations(holder=old.holder, now=now)
        old.state, old.held_until = Quote.State.REPLACED, None
        old.save(update_fields=["state", "held_until"])
