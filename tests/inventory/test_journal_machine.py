"""The laws of the journal, held through any history that a shop can have."""

from decimal import Decimal

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from inventory.arrivals import NewLine
from inventory.models import CostMethod, KeptAs, Lot, Material, Promise, Reason, StockEntry
from inventory.refusals import Refusal
from inventory.services.correct_entry import CORRECTABLE, correct_entry
from inventory.services.count_stock import count_stock
from inventory.services.draw_stock import draw_stock
from inventory.services.promise_stock import promise_stock
from inventory.services.receive_delivery import receive_delivery
from inventory.services.release_promise import release_promise
from inventory.services.return_stock import return_stock
from inventory.services.scrap_stock import scrap_stock
from inventory.services.send_back import send_back
from inventory.stock_refusals import NotEnoughStock
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
            promise_stock(**ask, holder_name=holder, now=NOW)
        else:
            with pytest.raises(NotEnoughStock):
                promise_stock(**ask, holder_name=holder, now=NOW)

    @precondition(lambda self: Promise.objects.filter(outstanding__gt=0).exists())
    @rule(data=st.data())
    def release(self, data):
        promises = list(Promise.objects.filter(outstanding__gt=0))
        release_promise(promise=data.draw(st.sampled_from(promises)), now=NOW)

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
        if entry.followed_by.exists() or entry.reason not in CORRECTABLE or used_since:
            with pytest.raises(Refusal):
                correct_entry(entry=entry, now=NOW)
        else:
            correct_entry(entry=entry, now=NOW)

    @precondition(lambda self: Lot.objects.filter(remaining__gte=1).exists())
    @rule(data=st.data(), credit=st.integers(0, 500))
    def return_to_supplier(self, data, credit):
        lots = list(Lot.objects.filter(remaining__gte=1).select_related("material"))
        lot = data.draw(st.sampled_from(lots))
        send_back(lot=lot, quantity=Decimal(1), credit=Decimal(credit) / 100, now=NOW)

    @invariant()
    def balances_equal_the_journal(self):
        for material in Material.objects.all():
            said = material.entries.aggregate(quantity=Sum("quantity"), cost=Sum("cost"))
            assert material.on_hand == (said["quantity"] or 0)
            assert material.book_cost == (said["cost"] or 0)
        for lot in Lot.objects.all():
            said = lot.entries.aggregate(quantity=Sum("quantity"), cost=Sum("cost"))
            assert lot.remaining == (said["quantity"] or 0)
            assert lot.remaining_cost == (said["cost"] or 0)

    @invariant()
    def promised_equals_the_open_promises(self):
        for material in Material.objects.all():
            open_now = material.promises.aggregate(total=Sum("outstanding"))["total"] or 0
            assert material.promised == open_now

    @invariant()
    def cost_in_is_cost_out_plus_cost_on_hand(self):
        for material in Material.objects.all():
            brought_in = material.entries.filter(cost__gt=0).aggregate(c=Sum("cost"))["c"] or 0
            went_out = material.entries.filter(cost__lt=0).aggregate(c=Sum("cost"))["c"] or 0
            assert brought_in == -went_out + material.book_cost

    @invariant()
    def a_used_up_lot_keeps_no_cost(self):
        assert not Lot.objects.filter(remaining=0).exclude(remaining_cost=0).exists()


@pytest.mark.django_db
def test_any_history_keeps_the_laws_of_the_journal():
    run_state_machine_as_test(
        ShopHistory,
        settings=settings(
            max_examples=25,
            stateful_step_count=25,
            deadline=None,
            # A history is replayed through the database: shrinking one takes many minutes.
            phases=[Phase.explicit, Phase.reuse, Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )
