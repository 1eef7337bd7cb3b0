"""Offer a change order, and record what became of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Max

from inventory.base.attempts import in_attempts
from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.refusals import Refusal
from inventory.models import Material
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_change, lock_quote
from quotes.base.refusals import ClockSetBack
from quotes.changes.bookkeeping import freeze_change
from quotes.changes.queries import asked_of_client, cost_of_more, rows_to_change, worked_out
from quotes.models import Change, ChangeMaterial, LineTax, PricingPolicy, Quote
from quotes.pricing.queries.taxing import own_rate_of
from shop.builds.services.edit import replace_specification
from shop.builds.services.enter import MoreMaterial, extend_build
from shop.models import BuildStage
from shop.patterns.calc import SpecRow, rows_from


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialAsked:
    """How much of a material of the shop a change takes, in the material's base unit."""

    material: Material
    quantity: Decimal


@in_attempts
@atomic_with_files()
def offer_change(
    *,
    quote: Quote,
    title: str,
    on: date,
    price: Decimal | None = None,
    words: str = "",
    replaces: Sequence[SpecRow] = (),
    hours: Decimal = Decimal(0),
    cost: Decimal = Decimal(0),
    materials: Sequence[MaterialAsked] = (),
    before: BuildStage | None = None,
    tax_kind: str = LineTax.WITH_IT,
    tax_rate: Decimal | None = None,
    days_added: int = 0,
    is_paid_ahead: bool | None = None,
    is_billed: bool = True,
) -> Change:
    """Return the change; `price` is net in the quote's money, below 0 for something left out.

    `replaces` are rows of the specification as they are to be, an empty one left out; `words` say
    what else changes. `materials` are put aside once it is agreed, and `hours` become a stage,
    `before` another of the build or last. Without a price it is worked out from hours, `cost` and
    materials at replacement, at the quote's own rates; half up to the minor unit. Whether it is
    paid ahead is the policy's, unless said; it is taxed as the instrument unless `tax_kind` says
    otherwise. Raises Refusal before acceptance, without a title, on a row that stays as it is, and
    where kind and rate of the tax disagree; ClockSetBack where an open one has a later day.
    """
    locked = lock_quote(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(
            f"{locked} is {locked.get_state_display()}; a change order needs an accepted quote."
            if locked.state == Quote.State.CANCELLED
            else f"{locked} is not accepted yet. Revise it instead."
        )
    if not title.strip():
        raise Refusal("Give the change order a title.", field="title")
    _check_order(locked, on)
    if before is not None and before.build_id != locked.build_id:
        raise Refusal("That stage belongs to another build.", field="before")
    rows = [_row(one, locked) for one in materials]
    cost += sum((row.cost for row in rows), Decimal(0))
    if price is None:
        price = asked_of_client(locked, worked_out(locked, hours, cost).amount)
    if is_paid_ahead is None:
        is_paid_ahead = PricingPolicy.objects.get_or_create(pk=1)[0].changes_paid_ahead
    change = Change(
        commission_id=locked.commission_id,
        quote=locked,
        number=_next_number(locked),
        title=title.strip(),
        words=words,
        rows=_with_before(locked, replaces),
        hours=hours,
        cost=cost,
        price=round_money(price, minor_unit_of(locked.currency)),
        before=before,
        tax_kind=tax_kind,
        tax_rate=tax_rate,
        days_added=days_added,
        is_paid_ahead=is_paid_ahead,
        is_billed=is_billed,
        offered_on=on,
    )
    own_rate_of(change)
    freeze_change(change)
    change.save()
    for row in rows:
        row.change = change
    ChangeMaterial.objects.bulk_create(rows)
    return change


def _check_order(quote: Quote, on: date) -> None:
    """Raise ClockSetBack where an earlier change order without an answer has a later day.

    One that was agreed is a fact, whatever its day, and holds nothing up.
    """
    earlier = Change.objects.filter(commission=quote.commission_id, state=Change.State.OFFERED)
    last = earlier.filter(offered_on__gt=on).order_by("-offered_on").first()
    if last is not None:
        raise ClockSetBack(
            f"Change order {last.number}",
            last.offered_on,
            on,
            so="the next one can't have an earlier day",
            or_else="if that day is wrong, record a refusal of it and offer it again",
        )


def _with_before(quote: Quote, replaces: Sequence[SpecRow]) -> list[dict[str, str]]:
    """Keep with each row what it says before the change. Raises Refusal where nothing changes."""
    before = {row.name.casefold(): row for row in rows_to_change(quote)}
    kept = []
    for row in replaces:
        old = before.get(row.name.strip().casefold())
        if not row.name.strip():
            raise Refusal("Give the row of the specification a name.", field="replaces")
        if (old.words if old else "") == row.words:
            raise Refusal(f"{row.name} says that already.", field="replaces")
        name = old.name if old else row.name.strip()
        kept.append(row.as_data() | {"name": name, "before": old.words if old else ""})
    return kept


def _next_number(quote: Quote) -> int:
    changes = Change.objects.filter(commission=quote.commission_id)
    return (changes.aggregate(last=Max("number"))["last"] or 0) + 1


def _row(asked: MaterialAsked, quote: Quote) -> ChangeMaterial:
    if asked.quantity <= 0:
        raise Refusal(f"Give a quantity of {asked.material} above 0.", field="materials")
    cost = cost_of_more(asked.material, asked.quantity, quote)
    return ChangeMaterial(material=asked.material, quantity=asked.quantity, cost=cost)


@in_attempts
@atomic_with_files()
def record_change_decision(*, change: Change, agreed: bool, now: datetime, by: str = "") -> Change:
    """Return the change as decided. Agreed, the build gets what it brings: stage, materials, days.

    The rows it replaces are those of the build from then on; they and its words stay in sight as a
    step of the specification's history. Raises Refusal the second time.
    """
    locked = lock_change(change)
    if locked.state != Change.State.OFFERED:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    if agreed and locked.quote.state != Quote.State.ACCEPTED:
        raise Refusal(f"{locked.quote} is {locked.quote.get_state_display()}.")
    locked.state = Change.State.AGREED if agreed else Change.State.DECLINED
    locked.decided_at, locked.decided_by = now, by
    if agreed:
        _bring(locked, now)
    locked.save()
    return locked


def _bring(change: Change, now: datetime) -> None:
    """Add to the build what was agreed, and note what became of it."""
    if change.quote.build is None:
        return
    rows = list(change.materials.select_related("material__family"))
    added = extend_build(
        build=change.quote.build,
        name=change.title,
        now=now,
        hours=change.hours,
        before=change.before,
        materials=[
            MoreMaterial(material=row.material, quantity=row.quantity, cost=row.cost)
            for row in rows
        ],
        days=change.days_added,
    )
    replace_specification(build=change.quote.build, rows=rows_from(change.rows))
    change.stage = added.stage
    for row, line in zip(rows, added.lines, strict=False):
        row.line = line
        row.save(update_fields=["line"])
