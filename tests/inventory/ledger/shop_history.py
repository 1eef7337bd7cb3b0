"""Any history that a shop can have: what can happen to its stock, in any order."""

from collections import Counter
from decimal import Decimal

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    precondition,
    rule,
)

from inventory.base.refusals import Refusal
from inventory.counting.services import count_stock
from inventory.cutting.calc.costs import Loss
from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock, record_lost_part
from inventory.kits.services import make_kit
from inventory.ledger.queries import can_be_reversed_alone, posting_group, reversed_together
from inventory.ledger.refusals import NotEnoughStock, PieceNotFree
from inventory.ledger.services.incoming import NewLine
from inventory.ledger.services.reverse import reverse_entry, reverse_groups
from inventory.models import (
    SHELF_STATES,
    VERDICTS,
    CostMethod,
    KeptAs,
    Lot,
    Material,
    Piece,
    Promise,
    Reason,
    Recipe,
    RecipePart,
    StockEntry,
)
from inventory.purchasing.services.deliveries import receive_delivery, return_to_supplier
from inventory.reservations.services import release_reservation, reserve_stock
from inventory.shelf.services.moves import (
    draw_stock,
    expire_lot,
    open_pack,
    return_stock,
    scrap_stock,
)
from inventory.shelf.services.rack import judge_piece, sell_stock, split_set
from tests.factories import NOW, TODAY, make_material

KINDS = [
    (KeptAs.PIECE, CostMethod.ACTUAL),
    (KeptAs.COUNT, CostMethod.FIFO),
    (KeptAs.LENGTH, CostMethod.AVERAGE),
]
quantities = st.integers(1, 12).map(Decimal)
holders = st.sampled_from(["build:1", "build:2", "quote:3"])
which = st.integers(0, 2)


class ShopHistory(RuleBasedStateMachine):
    """Everything that can happen to three materials, in any order."""

    def __init__(self):
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        self.materials = [
            make_material(kept_as=kept_as, cost_method=method) for kept_as, method in KINDS
        ]
        self.sets = make_material("string sets")
        recipe = Recipe.objects.create(material=self.sets)
        for part in self.materials[1:]:
            RecipePart.objects.create(recipe=recipe, material=part, quantity=Decimal(2))

    def teardown(self):
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    def fresh(self, which):
        return Material.objects.get(pk=self.materials[which].pk)

    @rule(
        which=which, quantity=quantities, price=st.integers(0, 9999), carriage=st.integers(0, 500)
    )
    def receive(self, which, quantity, price, carriage):
        line = NewLine(material=self.fresh(which), quantity=quantity, price=Decimal(price) / 100)
        receive_delivery(
            received_on=TODAY,
            lines=[line],
            carriage=Decimal(carriage) / 100,
            share_by="count",
            now=NOW,
        )

    @rule(which=which, quantity=quantities, holder=holders)
    def promise(self, which, quantity, holder):
        material = self.fresh(which)
        ask = {"material": material, "quantity": quantity, "holder": holder}
        if quantity <= material.free:
            reserve_stock(**ask, holder_name=holder, now=NOW)
        else:
            with pytest.raises(NotEnoughStock):
                reserve_stock(**ask, holder_name=holder, now=NOW)

    @precondition(lambda self: self.has_lots(0))
    @rule(data=st.data(), holder=holders)
    def promise_a_piece(self, data, holder):
        """A fit piece that nobody was promised can be promised while the shelf owes none of it."""
        lot = self.on_shelf(data, 0)
        is_taken = lot.promises.filter(outstanding__gt=0).exists()
        ask = {"quantity": Decimal(1), "lot": lot, "holder": holder, "holder_name": holder}
        material = self.fresh(0)
        if lot.piece.state in SHELF_STATES and not is_taken and self.left(material) >= 1:
            reserve_stock(material=material, **ask, now=NOW)
        else:
            with pytest.raises((PieceNotFree, NotEnoughStock)):
                reserve_stock(material=material, **ask, now=NOW)

    @staticmethod
    def left(material):
        """What is free, counted off the shelf: fit pieces that are nobody's, less quantities."""
        promises = list(Promise.objects.filter(material=material, outstanding__gt=0))
        owed = sum(one.outstanding for one in promises if one.lot_id is None)
        if not material.is_piece:
            return material.on_hand - owed
        taken = {one.lot_id for one in promises}
        shelf = Piece.objects.filter(lot__material=material, lot__remaining__gt=0)
        fit = [piece for piece in shelf if piece.state in SHELF_STATES]
        lacking = material.on_hand - shelf.count()
        return sum(1 for piece in fit if piece.pk not in taken) + lacking - owed

    @precondition(lambda self: Promise.objects.filter(outstanding__gt=0).exists())
    @rule(data=st.data())
    def release(self, data):
        promises = list(Promise.objects.filter(outstanding__gt=0))
        release_reservation(promise=data.draw(st.sampled_from(promises)), now=NOW)

    @rule(which=which, quantity=quantities, holder=holders)
    def draw(self, which, quantity, holder):
        draw_stock(material=self.fresh(which), quantity=quantity, holder=holder, now=NOW)

    @rule(which=which, quantity=quantities)
    def scrap(self, which, quantity):
        scrap_stock(material=self.fresh(which), quantity=quantity, why="cracked", now=NOW)

    @rule(which=which, counted=st.integers(0, 20).map(Decimal))
    def count(self, which, counted):
        count_stock(material=self.fresh(which), counted=counted, now=NOW)
        material = self.fresh(which)
        assert material.on_hand == counted
        assert not material.entries.filter(to_reconcile=True, reconciled_at=None).exists()

    @precondition(lambda self: StockEntry.objects.filter(reason=Reason.DRAWN).exists())
    @rule(data=st.data(), quantity=quantities)
    def bring_back(self, data, quantity):
        draws = list(StockEntry.objects.filter(reason=Reason.DRAWN).select_related("material"))
        entry = data.draw(st.sampled_from(draws))
        before = self.out(entry)
        if quantity <= before:
            return_stock(entry=entry, quantity=quantity, now=NOW)
            assert self.out(entry) == before - quantity
        else:
            with pytest.raises(Refusal):
                return_stock(entry=entry, quantity=quantity, now=NOW)

    @staticmethod
    def out(entry):
        back = entry.followed_by.aggregate(total=Sum("quantity"))["total"] or Decimal(0)
        return -entry.quantity - back

    @precondition(lambda self: StockEntry.objects.exists())
    @rule(data=st.data())
    def correct(self, data):
        entry = data.draw(st.sampled_from(list(StockEntry.objects.select_related("material"))))
        used_since = entry.quantity > 0 and entry.lot and entry.lot.remaining < entry.quantity
        in_a_whole = not can_be_reversed_alone(posting_group(entry))
        if entry.followed_by.exists() or in_a_whole or used_since:
            with pytest.raises(Refusal):
                reverse_entry(entry=entry, now=NOW)
        else:
            reverse_entry(entry=entry, now=NOW)

    @precondition(lambda self: StockEntry.objects.exists())
    @rule(data=st.data())
    def take_back(self, data):
        """A whole act goes or stays: what it touched is as it was before it, or nothing changed."""
        entry = data.draw(st.sampled_from(list(StockEntry.objects.select_related("material"))))
        act = reversed_together(entry)
        before = self.figures()
        try:
            reverse_groups(entries=[entry], now=NOW)
        except Refusal:
            assert self.figures() == before
        else:
            assert all(one.followed_by.get().quantity == -one.quantity for one in act)

    @staticmethod
    def figures():
        return (
            list(Material.objects.order_by("pk").values_list("on_hand", "book_cost", "promised")),
            StockEntry.objects.count(),
        )

    @precondition(lambda self: StockEntry.objects.filter(reason=Reason.CUT).exists())
    @rule(data=st.data())
    def take_back_the_last_cut(self, data):
        """Straight after it, a cut can always be taken back, and the books are as before it."""
        last = StockEntry.objects.order_by("pk").last()
        if last.reason != Reason.CUT or Promise.objects.filter(outstanding__gt=0).exists():
            return
        cut = reversed_together(last)
        moved = Counter({one.material_id: 0 for one in cut})
        for one in cut:
            moved[one.material_id] += one.quantity
        before = {row.pk: row for row in Material.objects.filter(pk__in=moved)}
        reverse_groups(entries=[last], now=NOW)
        for row in Material.objects.filter(pk__in=moved):
            assert row.on_hand == before[row.pk].on_hand - moved[row.pk]

    @precondition(lambda self: Lot.objects.filter(remaining__gte=1).exists())
    @rule(data=st.data(), credit=st.integers(0, 500))
    def return_to_supplier(self, data, credit):
        lots = list(Lot.objects.filter(remaining__gte=1).select_related("material"))
        lot = data.draw(st.sampled_from(lots))
        return_to_supplier(lot=lot, quantity=Decimal(1), credit=Decimal(credit) / 100, now=NOW)

    def on_shelf(self, data, which):
        lots = Lot.objects.filter(material=self.materials[which], remaining__gte=2 - (which == 0))
        return data.draw(st.sampled_from(list(lots.select_related("material"))))

    @precondition(lambda self: self.has_lots(0))
    @rule(data=st.data(), parts=st.integers(1, 4), rest=st.integers(0, 900))
    def cut_a_board(self, data, parts, rest):
        board = self.on_shelf(data, 0)
        before = board.remaining_cost
        blanks = [CutPart(material=board.material, measure=Decimal(100))] * parts
        remnants = [CutPart(material=board.material, measure=Decimal(rest))] if rest else []
        made = cut_stock(lot=board, parts=blanks, remnants=remnants, usable=Decimal(1000), now=NOW)
        fresh = Lot.objects.filter(pk__in=[lot.pk for lot in made])
        assert sum(lot.remaining_cost for lot in fresh) == before

    @precondition(lambda self: self.has_lots(2))
    @rule(data=st.data(), parts=st.integers(1, 4))
    def cut_a_length_into_a_count(self, data, parts):
        part = CutPart(material=self.fresh(1), measure=Decimal(parts), quantity=Decimal(parts))
        cut_stock(
            lot=self.on_shelf(data, 2),
            parts=[part],
            usable=Decimal(2),
            quantity=Decimal(2),
            now=NOW,
        )

    @precondition(lambda self: self.has_lots(0))
    @rule(data=st.data(), kind=st.sampled_from(list(Loss)))
    def lose_a_piece(self, data, kind):
        lot = self.on_shelf(data, 0)
        record_lost_part(lot=lot, kind=kind, why="pin knot", now=NOW)

    @precondition(lambda self: self.has_lots(0))
    @rule(data=st.data(), parts=st.integers(2, 4))
    def split_a_set(self, data, parts):
        lot = self.on_shelf(data, 0)
        before = lot.remaining_cost
        Piece.objects.filter(pk=lot.pk, is_half=False).update(parts=parts)
        if lot.piece.is_half:
            with pytest.raises(Refusal):
                split_set(lot=lot, now=NOW)
            return
        made = split_set(lot=lot, now=NOW)
        costs = [part.remaining_cost for part in Lot.objects.filter(pk__in=[p.pk for p in made])]
        assert sum(costs) == before
        assert max(costs) - min(costs) <= Decimal("0.01")

    @rule(which=which, quantity=quantities, price=st.integers(0, 9999))
    def sell(self, which, quantity, price):
        material = self.fresh(which)
        ask = {"material": material, "quantity": quantity, "to": "a friend", "now": NOW}
        sale = sell_stock(price=Decimal(price) / 100, **ask)
        sold = posting_group(sale.entry)
        assert -sum(entry.quantity for entry in sold) == quantity
        cost_out = -sum(entry.cost for entry in sold)
        assert self.fresh(which).book_cost == material.book_cost - cost_out

    @precondition(lambda self: self.has_lots(0))
    @rule(data=st.data(), verdict=st.sampled_from(VERDICTS))
    def judge(self, data, verdict):
        lot = self.on_shelf(data, 0)
        if lot.piece.verdict == verdict:
            with pytest.raises(Refusal):
                judge_piece(lot=lot, verdict=verdict, why="run-out", now=NOW)
        else:
            judge_piece(lot=lot, verdict=verdict, why="run-out", now=NOW)
            assert Piece.objects.get(pk=lot.pk).state == verdict

    @rule(quantity=quantities)
    def make_up_sets(self, quantity):
        cost = Material.objects.get(pk=self.sets.pk).book_cost
        used = self.fresh(1).book_cost + self.fresh(2).book_cost
        lot = make_kit(recipe=self.sets.recipe, quantity=quantity, now=NOW)
        lot.refresh_from_db()
        still = self.fresh(1).book_cost + self.fresh(2).book_cost
        assert lot.remaining_cost == used - still
        assert Material.objects.get(pk=self.sets.pk).book_cost == cost + lot.remaining_cost

    @precondition(lambda self: self.has_lots(2))
    @rule(data=st.data())
    def open_and_write_off_a_pack(self, data):
        lot = self.on_shelf(data, 2)
        if lot.opened_on is None:
            open_pack(lot=lot, on=TODAY)
        else:
            expire_lot(lot=lot, now=NOW)
            lot.refresh_from_db()
            assert (lot.remaining, lot.remaining_cost) == (0, 0)

    def has_lots(self, which):
        least = 2 - (which == 0)
        return Lot.objects.filter(material=self.materials[which], remaining__gte=least).exists()
