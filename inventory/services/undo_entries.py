"""Undo what was done, all of it or nothing: what belongs together goes together."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Sum

from inventory.locking import lock_materials
from inventory.models import Credit, Lot, Material, Promise, Reason, StockEntry
from inventory.queries.acts import ALONE, bound_to
from inventory.refusals import Refusal
from inventory.services.counter_entries import counter_entries
from inventory.stock_refusals import in_words


@transaction.atomic
def undo_entries(
    *, entries: Sequence[StockEntry], now: datetime, why: str = "undone", user: Any = None
) -> list[StockEntry]:
    """Counter `entries` and what was done at once with them: a whole cut, a whole make-up.

    Raises Refusal when a part of it has been corrected, used, promised or moved meanwhile, or when
    its credit was settled: then nothing is undone.
    """
    acts = [bound_to(entry) for entry in entries]
    whole = list({entry.pk: entry for act in acts for entry in act}.values())
    before = lock_materials([entry.material for entry in whole])
    for act in acts:
        if any(entry.reason not in ALONE for entry in act):
            _check_act(act)
    counters = counter_entries(entries=whole, now=now, why=why, user=user)
    _check_promises(whole, before)
    return counters


def _check_act(act: list[StockEntry]) -> None:
    if any(entry.reason in {Reason.CORRECTED, Reason.USED} for entry in act):
        raise Refusal("That is not taken back: record what happened once more instead.")
    if StockEntry.objects.filter(about__in=act).exists():
        raise Refusal("Some of it has been corrected or returned already: see what followed it.")
    settled = Credit.objects.select_for_update(of=("self",)).filter(entry__in=act)
    for credit in settled:
        if credit.settled_on:
            on = f"{credit.settled_on.day} {credit.settled_on:%B %Y}"
            raise Refusal(
                f"{credit.supplier}'s credit for it was settled on {on}. "
                "Book what came back as a delivery instead."
            )
    for entry in act:
        if entry.lot and (entry.quantity > 0 or entry.cost > 0):
            _check_untouched(entry.lot, act)


def _check_untouched(lot: Lot, act: list[StockEntry]) -> None:
    """Refuse where something of the lot went, or its cost moved, after the act."""
    own = [entry.pk for entry in act]
    since = lot.entries.filter(pk__gt=own[0]).exclude(pk__in=own)
    moved = since.aggregate(quantity=Sum("quantity"), cost=Sum("cost"))
    if moved["quantity"] or moved["cost"]:
        raise Refusal(
            f"Something has happened to {lot.number} since. Correct that first, "
            "or count the material instead."
        )


def _check_promises(act: list[StockEntry], before: dict[int, Material]) -> None:
    """Refuse where stock that goes off the shelf again has been promised meanwhile."""
    gone = [entry.lot for entry in act if entry.lot and entry.quantity > 0]
    held = Promise.objects.filter(lot__in=gone, outstanding__gt=0).select_related("lot").first()
    if held and held.lot:
        raise Refusal(f"{held.lot.number} is promised to {held.holder_name}: let go of it first.")
    meanwhile = Promise.objects.filter(outstanding__gt=0, made_at__gte=act[0].recorded_at)
    for material in Material.objects.filter(pk__in=before, promises__in=meanwhile).distinct():
        if material.free < 0 and material.free < before[material.pk].free:
            lacking = in_words(-material.free, material)
            raise Refusal(
                f"{material}: {lacking} of it would be missing for what is promised. "
                "Let go of a promise first."
            )
