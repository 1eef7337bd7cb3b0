"""Cross out a weighing that was noted by mistake: it stays in sight and counts no more."""

from django.db import transaction

from inventory.models import Piece, Weighing
from inventory.queries.wood import weighings_of
from inventory.refusals import Refusal


@transaction.atomic
def cross_out_weighing(*, weighing: Weighing) -> Weighing:
    """The piece weighs again what the latest other weighing said, if there is one.

    Whether it is ready stays as it is: the maker decides. Raises Refusal the second time.
    """
    fresh = Weighing.objects.select_for_update().select_related("lot").get(pk=weighing.pk)
    if fresh.is_crossed_out:
        raise Refusal("This weighing is crossed out already.")
    fresh.is_crossed_out = True
    fresh.save(update_fields=["is_crossed_out"])
    rest = weighings_of(fresh.lot)
    if rest:
        last = max(rest, key=lambda each: each.on)
        Piece.objects.filter(pk=fresh.lot_id).update(mass_g=last.grams)
    return fresh
