"""What becomes of a sent quote: accepted, declined, expired."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.models import Lot
from inventory.reservations.queries import promised_materials
from inventory.reservations.services import release_reservations
from quotes.base.locking import check_stands_alone, lock_order
from quotes.models import Commission, Quote, QuoteMaterial
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import offer_of
from quotes.quoting.locking import has_lapsed, lock_ended, lock_with_ended
from quotes.quoting.queries.pieces import Chosen, held_for, pieces_for
from shop.builds.queries.needs import Shortage
from shop.builds.services.enter import PlannedLine, PlannedStage, enter_build
from shop.builds.services.stock import reserve_for_build
from shop.models import Build
from shop.patterns.calc import rows_from

NOTHING_CHOSEN: Chosen = {}


class NotOpen(Refusal):
    """The quote was decided on, replaced or has lapsed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """An accepted quote, the build it became, and what the shelf could not give.

    `further` are the builds of the other instruments of the order.
    """

    quote: Quote
    build: Build
    shortages: tuple[Shortage, ...]
    further: tuple[Build, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ordered:
    """One instrument of an order that is accepted, with its rows in the order of its offer."""

    quote: Quote
    offer: Offer
    rows: list[QuoteMaterial]


@in_attempts
@transaction.atomic
def accept_quote(
    *,
    quote: Quote,
    on: date,
    now: datetime,
    by: str = "",
    chosen: Chosen = NOTHING_CHOSEN,
) -> Acceptance:
    """Accept an issued quote on its last day of validity at the latest.

    What was held for the quote is put aside for the build, unless other pieces are `chosen`.
    Raises NotOpen, and PieceNotFree when a chosen piece has gone meanwhile: then nothing is done.
    Holds of other quotes that are over are let go first.
    """
    locked, ended = lock_with_ended(quote, on)
    check_stands_alone(locked)
    _check_open(locked, on)
    ordered = [_read(one, on) for one in locked.instruments]
    _lock_stock_of(locked, ended, [row for one in ordered for row in one.rows], chosen)
    # A hold that is over may keep just the piece that this client chose.
    end_quotes(ended=ended, on=on, now=now)
    pieces = [_pieces(one, chosen) for one in ordered]
    # Released and reserved anew under one lock: nobody can take the piece in between.
    for one in ordered:
        release_reservations(holder=one.quote.holder, now=now)
    builds: list[Build] = []
    shortages: list[Shortage] = []
    for one, own in zip(ordered, pieces, strict=True):
        build = _enter(one.quote, one.offer, one.rows, on, now)
        shortages += reserve_for_build(build=build, now=now, chosen=own)
        _record(one.quote, build, now, by)
        builds.append(build)
    _replace_others(locked, now)
    return Acceptance(
        quote=locked, build=builds[0], shortages=tuple(shortages), further=tuple(builds[1:])
    )


def _read(quote: Quote, on: date) -> _Ordered:
    offer = offer_of(quote, on=on)
    return _Ordered(quote=quote, offer=offer, rows=list(_rows_of(quote, offer)))


def _lock_stock_of(
    quote: Quote, ended: Iterable[Quote], rows: Iterable[QuoteMaterial], chosen: Chosen
) -> None:
    """Lock at once and in one order, before anything moves, all stock that an acceptance reaches.

    That is what its rows name, what was chosen, and what is let go: held for it, for the other
    quotes of its commission, and for those that ended.
    """
    own = Quote.objects.filter(commission=quote.commission_id)
    lots = [*chosen.values(), *(row.lot for row in rows)]
    lock_materials(
        [
            *(row.material for row in rows if row.material),
            *(lot.material for lot in lots if lot),
            *promised_materials(one.holder for one in [*own, *ended]),
        ]
    )


def _check_open(quote: Quote, on: date) -> None:
    if quote.state == Quote.State.LAPSED or has_lapsed(quote, on):
        last = quote.valid_until
        day = f" on {day_words(last)}" if last else ""
        raise NotOpen(f"{quote} expired{day}. Revise it: the next version has today's prices.")
    if quote.state != Quote.State.ISSUED:
        raise NotOpen(f"{quote} is {quote.get_state_display()}; only a sent quote can be accepted.")


def _rows_of(quote: Quote, offer: Offer) -> Iterable[QuoteMaterial]:
    rows = {
        f"material:{row.pk}": row
        for row in quote.materials.select_related(
            "material", "family", "lot__material", "template_line"
        )
    }
    return (rows[line.key] for line in offer.materials)


def _enter(
    quote: Quote, offer: Offer, rows: Iterable[QuoteMaterial], on: date, now: datetime
) -> Build:
    stage_rows = {f"stage:{row.pk}": row for row in quote.stages.select_related("template_stage")}
    stages = [
        PlannedStage(
            name=stage.name,
            hours=stage.hours,
            hours_low=stage.hours_low,
            hours_high=stage.hours_high,
            waiting_days=stage.waiting_days,
            template_stage=stage_rows[stage.key].template_stage,
        )
        for stage in offer.stages
    ]
    lines = [
        PlannedLine(
            name=line.name,
            quantity=line.net,
            to_draw=line.to_draw,
            planned_cost=line.cost,
            family=row.family,
            material=row.material,
            template_line=row.template_line,
        )
        for line, row in zip(offer.materials, rows, strict=True)
    ]
    return enter_build(
        title=quote.title,
        template=quote.template,
        specification=quote.specification,
        rows=rows_from((quote.frozen or {})["paper"].get("rows", ())),
        options=quote.options,
        stages=stages,
        lines=lines,
        made_on=on,
        promised_on=offer.ready_on,
        because=f"{quote} accepted",
        now=now,
    )


def _pieces(one: _Ordered, chosen: Chosen) -> dict[int, Sequence[Lot]]:
    """Return the pieces by the place of their line."""
    held = held_for(one.quote)
    return {
        place: pieces_for(one.quote, row, held=held, chosen=chosen)
        for place, (row, line) in enumerate(
            zip(one.rows, one.offer.materials, strict=True), start=1
        )
        if line.to_draw > 0
    }


def _record(quote: Quote, build: Build, now: datetime, by: str) -> None:
    quote.state, quote.build = Quote.State.ACCEPTED, build
    quote.decided_at, quote.decided_by, quote.held_until = now, by, None
    quote.save(update_fields=["state", "build", "decided_at", "decided_by", "held_until"])


def _replace_others(quote: Quote, now: datetime) -> None:
    others = Quote.objects.filter(commission=quote.commission_id, state=Quote.State.ISSUED)
    for other in others:
        release_reservations(holder=other.holder, now=now)
    others.update(state=Quote.State.REPLACED, held_until=None)
    Commission.objects.filter(pk=quote.commission_id).update(state=Commission.State.ACCEPTED)


OPEN = {Quote.State.DRAFT, Quote.State.ISSUED}


@in_attempts
@transaction.atomic
def decline_quote(*, quote: Quote, now: datetime, by: str = "", reason: str = "") -> Quote:
    """Mark a draft or an issued quote as declined and release what was held for it."""
    locked = lock_order(quote)
    if locked.state not in OPEN:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    for one in locked.instruments:
        one.state, one.decided_at, one.decided_by = Quote.State.DECLINED, now, by
        one.decline_reason, one.held_until = reason, None
        one.save(
            update_fields=["state", "decided_at", "decided_by", "decline_reason", "held_until"]
        )
        release_reservations(holder=one.holder, now=now)
    return locked


@in_attempts
@transaction.atomic
def expire_quotes(*, on: date, now: datetime) -> list[Quote]:
    """Return the quotes that lapsed: issued, and valid until a day before `on`.

    Holds that ended are released, those of lapsed quotes among them.
    """
    ended = lock_ended(on)
    lock_materials(promised_materials(quote.holder for quote in ended))
    return end_quotes(ended=ended, on=on, now=now)


def end_quotes(*, ended: Iterable[Quote], on: date, now: datetime) -> list[Quote]:
    """Let go of what was held for quotes that ended before `on`; return those that lapsed.

    They and their stock are locked by the caller.
    """
    quotes = list(ended)
    lapsed = [quote for quote in quotes if has_lapsed(quote, on)]
    for quote in quotes:
        release_reservations(holder=quote.holder, now=now)
        quote.held_until = None
    Quote.objects.filter(pk__in=[quote.pk for quote in quotes]).update(held_until=None)
    Quote.objects.filter(pk__in=[quote.pk for quote in lapsed]).update(state=Quote.State.LAPSED)
    return lapsed
