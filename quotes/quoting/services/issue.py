"""Issue a quote: number it, freeze every figure, and print it once."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal

from inventory.base.attempts import in_attempts, run_unlocked
from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from inventory.base.services import next_number
from inventory.ledger.locking import lock_materials
from inventory.models import Promise
from inventory.reservations.queries import promised_materials
from inventory.reservations.services import release_reservation, release_reservations
from quotes.base.calc.numbering import DocumentNumber
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import check_stands_alone, lock_draft
from quotes.base.refusals import ClockSetBack
from quotes.models import Quote
from quotes.papers.bookkeeping import freeze, freeze_further
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.choices import live_choices
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.queries.pricing import stages_on
from quotes.pricing.queries.ready import ready_by_queue


@in_attempts
@atomic_with_files()
def issue_quote(*, quote: Quote, on: date, now: datetime) -> Quote:
    """Return the quote as sent: it is valid to `on` and its valid days, that day included.

    Its further instruments are sent with it, under its number.

    Numbers run without gaps in each year. An earlier version that is still open is replaced, and
    what was held for it is released. Raises NotADraft, and Refusal on a quote without a price or
    promised for a day that has passed, ClockSetBack on a version older than its last one.
    """
    draft = lock_draft(quote)
    check_stands_alone(draft)
    further = list(draft.further.order_by("place", "pk"))
    _check_several(draft, further)
    offer, *others = _offers([draft, *further], on)
    _check_prices(draft, offer, further, others)
    _check_order(draft, on)
    for one in (draft, *further):
        _check_day(one, on)
    # Locked before the number is: what is held for this version and for those it replaces.
    versions = Quote.objects.filter(commission=draft.commission_id)
    lock_materials(promised_materials(one.holder for one in versions))
    draft.issued_on = on
    draft.valid_until = on + timedelta(days=draft.valid_days)
    draft.number = draft.number or _number(on)
    draft.state = Quote.State.ISSUED
    for one, own in zip(further, others, strict=True):
        _send_with(draft, one, own)
    sent = zip(further, others, strict=True)
    freeze(draft, offer, live_choices(draft, offer, on=on), sent)
    draft.save()
    for one in (draft, *further):
        _let_go_of_others(one, now)
    _replace_earlier(draft, now)
    return draft


def _offers(instruments: list[Quote], on: date) -> list[Offer]:
    # The day of one hangs on the hours of all: they stand one behind the other.
    work = tuple(
        (row.pk, row.hours, row.waiting_days) for one in instruments for row in stages_on(one)
    )
    order = instruments[0]
    ready = run_unlocked(("ready", order.pk, on, work), lambda: ready_by_queue(order, on))
    return [live_offer(one, on=on, ready=ready.get(one.pk)) for one in instruments]


def _check_prices(
    draft: Quote, offer: Offer, further: Iterable[Quote], others: Sequence[Offer]
) -> None:
    nets = [own.sheet.net for own in others]
    nets.insert(0, offer.sheet.net - sum(nets, Decimal(0)))
    for one, net in zip((draft, *further), nets, strict=True):
        if net <= 0:
            raise Refusal(f"{one} has no price yet. Add stages, materials or extra lines.")


def _check_several(draft: Quote, further: list[Quote]) -> None:
    for one in (draft, *further) if further else ():
        if one.offered:
            raise Refusal(
                f"The client can't choose options of {one.title} in an order of several "
                "instruments: a choice would change the price of all. Switch them here instead.",
                field="offered",
            )


def _check_day(draft: Quote, on: date) -> None:
    if draft.ready_on and draft.ready_on < on:
        raise Refusal(
            f"Ready on {day_words(draft.ready_on)} has passed. "
            "Give a later day, or leave it empty.",
            field="ready_on",
        )


def _check_order(draft: Quote, on: date) -> None:
    """Raise ClockSetBack where an earlier version has a later day."""
    earlier = Quote.offers.filter(number=draft.number, issued_on__gt=on) if draft.number else None
    last = earlier.order_by("-issued_on").first() if earlier is not None else None
    if last is not None and last.issued_on is not None:
        raise ClockSetBack(
            f"Version {last.version} of {last.number}",
            last.issued_on,
            on,
            so="a version can't be older than the one that it replaces",
            or_else="if that day is wrong, copy the quote and issue the copy",
        )


def _send_with(order: Quote, one: Quote, offer: Offer) -> None:
    one.number, one.version, one.state = order.number, order.version, order.state
    one.issued_on, one.valid_until = order.issued_on, order.valid_until
    freeze_further(one, offer)
    one.save()


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
    for old in earlier.exclude(version=issued.version):
        release_reservations(holder=old.holder, now=now)
        old.state, old.held_until = Quote.State.REPLACED, None
        old.save(update_fields=["state", "held_until"])
