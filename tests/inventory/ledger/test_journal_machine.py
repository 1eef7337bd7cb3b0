"""The laws of the journal, held through any history that a shop can have."""

from collections import Counter

import pytest
from django.db.models import Case, Sum, When
from django.db.models.functions import Coalesce
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import invariant, run_state_machine_as_test

from inventory.models import SHELF_STATES, KeptAs, Lot, Material, Piece, Promise, Reason, StockEntry
from tests.inventory.ledger.shop_history import ShopHistory

INSIDE = (Reason.CUT, Reason.SPLIT, Reason.MADE)
"""Reasons that move cost about and let none in or out."""


class LawsOfTheJournal(ShopHistory):
    """What holds after each of them."""

    @invariant()
    def balances_equal_the_journal(self):
        for rows, key, names in (
            (Material, "material", ("on_hand", "book_cost")),
            (Lot, "lot", ("remaining", "remaining_cost")),
        ):
            said = StockEntry.objects.order_by().values_list(key)
            sums = {pk: pair for pk, *pair in said.annotate(q=Sum("quantity"), c=Sum("cost"))}
            for pk, *kept in rows.objects.values_list("pk", *names):
                assert kept == sums.get(pk, [0, 0])

    @invariant()
    def nothing_is_counted_twice_in_what_is_free(self):
        for material in Material.objects.all():
            assert material.free == self.left(material)

    @invariant()
    def promised_equals_the_open_promises_of_what_is_there(self):
        held = Counter()
        for promise in Promise.objects.select_related("lot__piece"):
            lot = promise.lot
            if lot is None or (lot.remaining > 0 and lot.piece.state in SHELF_STATES):
                held[promise.material_id] += promise.outstanding
        for pk, promised in Material.objects.values_list("pk", "promised"):
            assert promised == held[pk]

    @invariant()
    def cost_in_is_cost_out_plus_cost_on_hand_and_what_was_lost(self):
        """What a correction brings back counts for what it corrects."""
        reason = Coalesce("about__reason", "reason")
        of = dict(
            StockEntry.objects.annotate(
                of=Case(When(reason=Reason.CORRECTED, then=reason), default="reason")
            )
            .order_by()
            .values_list("of")
            .annotate(Sum("cost"))
        )
        on_hand = sum(Material.objects.values_list("book_cost", flat=True))
        came = of.pop(Reason.RECEIVED, 0)
        went = -sum(cost for reason, cost in of.items() if reason not in INSIDE)
        assert came == went + on_hand
        assert sum(of.get(reason, 0) for reason in INSIDE) == 0

    @invariant()
    def a_cut_a_split_and_a_make_up_only_move_cost_about(self):
        """What goes into one comes out of it, to the minor unit."""
        acts = StockEntry.objects.filter(reason__in=INSIDE).annotate(head=Coalesce("act", "pk"))
        sums = dict(acts.order_by().values_list("head").annotate(Sum("cost")))
        assert set(sums.values()) <= {0}

    @invariant()
    def a_piece_is_one(self):
        pieces = Lot.objects.filter(material=self.materials[0])
        assert not pieces.filter(remaining__gt=1).exists()

    @invariant()
    def a_pieces_state_is_what_last_happened_to_it(self):
        for piece in Piece.objects.select_related("lot"):
            if piece.lot.remaining > 0:
                assert piece.gone == ""
            last = piece.lot.entries.exclude(quantity=0).order_by("pk").last()
            assert (piece.gone == "") == (last is None or last.quantity > 0)
        for material in Material.objects.filter(kept_as=KeptAs.PIECE):
            shelf = Piece.objects.filter(lot__material=material, lot__remaining__gt=0)
            assert material.unfit == shelf.exclude(state__in=SHELF_STATES).count()

    @invariant()
    def a_used_up_lot_keeps_no_cost(self):
        assert not Lot.objects.filter(remaining=0).exclude(remaining_cost=0).exists()


@pytest.mark.django_db
def test_any_history_keeps_the_laws_of_the_journal():
    run_state_machine_as_test(
        LawsOfTheJournal,
        settings=settings(
            max_examples=25,
            stateful_step_count=25,
            deadline=None,
            # A history is replayed through the database: shrinking one takes many minutes.
            phases=[Phase.explicit, Phase.reuse, Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )
