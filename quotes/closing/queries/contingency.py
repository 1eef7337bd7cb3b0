"""What the contingency of a build went on: losses, what was redone after them, unbilled changes."""

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Sum

from inventory.models import Reason
from quotes.closing.calc.close_out import ContingencyUse, Mishap, use_contingency
from quotes.models import Change, Quote
from quotes.pricing.calc.offer import Offer
from shop.hours.queries.hours import hours_by_stage
from shop.models import Build, BuildDraw

NOTHING = Decimal(0)


def contingency_use(build: Build, quote: Quote | None, offer: Offer | None) -> ContingencyUse:
    """Return what was kept for a build and what it went on so far, hours at the quote's rate.

    A loss is what was scrapped, at its cost. What a stage took beyond its quoted hours counts as
    redone where something was lost in it, and nowhere else; where hours are marked as making again,
    those count. Four queries.
    """
    return use_contingency(
        offer.sheet.amount("contingency") if offer else NOTHING,
        [*_losses(build), *_unbilled(quote)],
        quote.shop_rate if quote else NOTHING,
    )


def _losses(build: Build) -> Iterable[Mishap]:
    draws = BuildDraw.objects.filter(build=build, entry__reason=Reason.SCRAPPED)
    # With the key among the values two losses that look alike stay two.
    rows = draws.values_list("pk", "stage", "entry__material__name", "entry__cost", "entry__note")
    lost_in = set()
    for _, stage, name, cost, note, back in rows.annotate(back=Sum("entry__followed_by__cost")):
        if cost + (back or NOTHING) < 0:
            words = f"{name}: {note}" if note else name
            yield Mishap(name=words, cost=-cost - (back or NOTHING))
            lost_in.add(stage)
    for row in hours_by_stage(build):
        if row.redone_minutes:
            name = f"{row.stage or 'The whole build'}: made again"
            yield Mishap(name=name, hours=row.redone_minutes / 60)
        elif row.stage and row.stage.pk in lost_in and row.over_minutes > 0:
            name = f"{row.stage.name}: redone, beyond its quoted hours"
            yield Mishap(name=name, hours=row.over_minutes / 60)


def _unbilled(quote: Quote | None) -> Iterable[Mishap]:
    changes = Change.objects.filter(quote=quote, state=Change.State.AGREED, is_billed=False)
    for change in changes if quote else ():
        name = f"Change order {change.number}, free of charge: {change.title}"
        yield Mishap(name=name, hours=change.hours, cost=change.cost)
