"""Weigh a piece, and say whether it has settled."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.calc.seasoning import Verdict, ready_verdict
from inventory.models import Lot, Piece, Weighing
from inventory.queries.wood import ready_rule, weighings_of
from inventory.refusals import Refusal


@transaction.atomic
def weigh_piece(*, lot: Lot, grams: Decimal, on: date) -> Verdict:
    """Note a mass in g; wood that seasons is *ready* once its last weighings agree.

    The piece's own mass follows the latest weighing. What was ready once stays so: the maker
    decides. Raises Refusal for what is no piece, or a mass of nothing.
    """
    if not lot.material.is_piece:
        raise Refusal(f"{lot.number} is no piece: only pieces are weighed one by one.")
    if grams <= 0:
        raise Refusal("A mass is above 0.", field="grams")
    Weighing.objects.create(lot=lot, weighed_on=on, grams=grams)
    weighings = weighings_of(lot)
    piece = Piece.objects.select_for_update().get(pk=lot.pk)
    piece.mass_g = max(weighings, key=lambda weighing: weighing.on).grams
    verdict = ready_verdict(weighings, ready_rule())
    piece.is_ready = piece.is_ready or verdict.ready
    piece.save(update_fields=["mass_g", "is_ready"])
    return verdict
