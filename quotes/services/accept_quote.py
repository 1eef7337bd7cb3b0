"""Accept a quote: the client said yes, so a build is entered and its stock is put aside."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, Promise
from inventory.refusals import Refusal
from inventory.services.release_promises import release_promises
from quotes.calc.offer import Offer
from quotes.locking import lock_quote
from quotes.models import Commission, Quote, QuoteMaterial
from quotes.queries.offer import offer_of
from quotes.services.lapse_quotes import lapse_quotes
from shop.models import Build
from shop.queries.needs import Shortage
from shop.services.enter_build import PlannedLine, PlannedStage, enter_build
from shop.services.put_aside import put_aside


class NotOpen(Refusal):
    """The quote was decided on, replaced or has lapsed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """An accepted quote, the build it became, and what the shelf could not give."""

    quote: Quote
    build: Build
    shortages: tuple[Shortage, ...]


@transaction.atomic
def accept_quote(
    *,
    quote: Quote,
    on: date,
    now: datetime,
    by: str = "",
    chosen: Mapping[int, Lot] | None = None,
) -> Acceptance:
    """Accept an issued quote on its last day of validity at the latest.

    `chosen` gives a piece by the key of its material row, in place of the one named there. What
    was held for the quote is put aside for the build. Raises NotOpen, and PieceNotFree when a
    chosen piece has gone meanwhile: then nothing is done. Holds of other quotes that are over are
    let go first.
    """
    lapse_quotes(on=on, now=now)
    locked = lock_quote(quote)
    _check_open(locked, on)
    offer = offer_of(locked, on=on)
    rows = list(_rows_of(locked, offer))
    lock_materials(row.material for row in rows if row.material)
    pieces = _pieces(rows, _held(locked), chosen or {})
    release_promises(holder=locked.holder, now=now)
    build = _enter(locked, offer, rows, on, now)
    shortages = put_aside(build=build, now=now, chosen=pieces)
    _record(locked, build, now, by)
    return Acceptance(quote=locked, build=build, shortages=shortages)


def _check_open(quote: Quote, on: date) -> None:
    if quote.state == Quote.State.LAPSED or (
        quote.state == Quote.State.ISSUED and quote.valid_until and quote.valid_until < on
    ):
        last = quote.valid_until
        day = f" on {last.day} {last:%B %Y}" if last else ""
        raise NotOpen(f"{quote} lapsed{day}. Revise it: the next version has today's prices.")
    if quote.state != Quote.State.ISSUED:
        raise NotOpen(
            f"{quote} is {quote.get_state_display()}; only an issued quote can be accepted."
        )


def _rows_of(quote: Quote, offer: Offer) -> Iterable[QuoteMaterial]:
    rows = {
        f"material:{row.pk}": row
        for row in quote.materials.select_related("material", "family", "lot", "template_line")
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
        options=quote.options,
        stages=stages,
        lines=lines,
        made_on=on,
        promised_on=offer.ready_on,
        now=now,
    )


def _held(quote: Quote) -> dict[str, list[Lot]]:
    """Pieces that are held for the quote, by the key that the hold gave its lines."""
    held: dict[str, list[Lot]] = {}
    promises = Promise.objects.filter(holder=quote.holder, outstanding__gt=0, lot__isnull=False)
    for promise in promises.select_related("lot"):
        if promise.lot:
            held.setdefault(promise.line, []).append(promise.lot)
    return held


def _pieces(
    rows: Iterable[QuoteMaterial], held: Mapping[str, list[Lot]], chosen: Mapping[int, Lot]
) -> dict[int, list[Lot]]:
    """Pieces by the place of their line: chosen now, named in the quote, or held for it."""
    pieces: dict[int, list[Lot]] = {}
    for place, row in enumerate(rows, start=1):
        lot = chosen.get(row.pk, row.lot)
        pieces[place] = [lot] if lot else held.get(row.hold_key, [])
    return pieces


def _record(quote: Quote, build: Build, now: datetime, by: str) -> None:
    quote.state, quote.build = Quote.State.ACCEPTED, build
    quote.decided_at, quote.decided_by, quote.held_until = now, by, None
    quote.save(update_fields=["state", "build", "decided_at", "decided_by", "held_until"])
    others = Quote.objects.filter(commission=quote.commission_id, state=Quote.State.ISSUED)
    for other in others:
        release_promises(holder=other.holder, now=now)
    others.update(state=Quote.State.REPLACED, held_until=None)
    Commission.objects.filter(pk=quote.commission_id).update(state=Commission.State.ACCEPTED)
