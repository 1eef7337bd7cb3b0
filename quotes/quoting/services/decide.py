"""What becomes of a sent quote: accepted, declined, expired."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.models import Lot
from inventory.reservations.services import release_reservations
from quotes.base.locking import lock_quote
from quotes.models import Commission, Quote, QuoteMaterial
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import offer_of
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
    """An accepted quote, the build it became, and what the shelf could not give."""

    quote: Quote
    build: Build
    shortages: tuple[Shortage, ...]


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
    # A hold that is over may keep just the piece that this client chose.
    expire_quotes(on=on, now=now)
    locked = lock_quote(quote)
    _check_open(locked, on)
    offer = offer_of(locked, on=on)
    rows = list(_rows_of(locked, offer))
    pieces = _pieces(locked, rows, offer, chosen)
    lots = [lot for of_line in pieces.values() for lot in of_line]
    materials = [*(row.material for row in rows if row.material), *(lot.material for lot in lots)]
    # All at once and in one order, before anything moves: two acceptances wait for each other
    # instead of locking crosswise.
    lock_materials(materials)
    # Released and reserved anew under one lock: nobody can take the piece in between.
    release_reservations(holder=locked.holder, now=now)
    build = _enter(locked, offer, rows, on, now)
    shortages = reserve_for_build(build=build, now=now, chosen=pieces)
    _record(locked, build, now, by)
    return Acceptance(quote=locked, build=build, shortages=shortages)


def _check_open(quote: Quote, on: date) -> None:
    if quote.state == Quote.State.LAPSED or (
        quote.state == Quote.State.ISSUED and quote.valid_until and quote.valid_until < on
    ):
        last = quote.valid_until
        day = f" on {last.day} {last:%B %Y}" if last else ""
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


def _pieces(
    quote: Quote, rows: Iterable[QuoteMaterial], offer: Offer, chosen: Chosen
) -> dict[int, Sequence[Lot]]:
    """Return the pieces by the place of their line."""
    held = held_for(quote)
    return {
        place: pieces_for(quote, row, held=held, chosen=chosen)
        for place, (row, line) in enumerate(zip(rows, offer.materials, strict=True), start=1)
        if line.to_draw > 0
    }


def _record(quote: Quote, build: Build, now: datetime, by: str) -> None:
    quote.state, quote.build = Quote.State.ACCEPTED, build
    quote.decided_at, quote.decided_by, quote.held_until = now, by, None
    quote.save(update_fields=["state", "build", "decided_at", "decided_by", "held_until"])
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
    locked = lock_quote(quote)
    if locked.state not in OPEN:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    locked.state = Quote.State.DECLINED
    locked.decided_at = now
    locked.decided_by = by
    locked.decline_reason, locked.held_until = reason, None
    locked.save(update_fields=["state", "decided_at", "decided_by", "decline_reason", "held_until"])
    release_reservations(holder=locked.holder, now=now)
    return locked


@in_attempts
@transaction.atomic
def expire_quotes(*, on: date, now: datetime) -> list[Quote]:
    """Return the quotes that lapsed: issued, and valid until a day before `on`.

    Holds that ended are released, those of lapsed quotes among them.
    """
    past = Q(state=Quote.State.ISSUED, valid_until__lt=on)
    lapsed = list(Quote.objects.select_for_update().filter(past).order_by("pk"))
    keys = [quote.pk for quote in lapsed]
    ended = list(
        Quote.objects.filter(
            Q(held_until__lt=on) | Q(pk__in=keys, held_until__isnull=False)
        ).order_by("pk")
    )
    for quote in ended:
        release_reservations(holder=quote.holder, now=now)
    if lapsed:
        Quote.objects.filter(pk__in=keys).update(state=Quote.State.LAPSED)
    if ended:
        Quote.objects.filter(pk__in=[quote.pk for quote in ended]).update(held_until=None)
    return lapsed
