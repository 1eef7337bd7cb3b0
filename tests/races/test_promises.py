"""Many sessions promise the last set or the last metre: exactly one wins.

Each race has a control in which the guard is taken away: there the same race oversells, which
proves that the race can be lost.
"""

import threading
from decimal import Decimal

import pytest

from inventory.ledger.refusals import NotEnoughStock, PieceNotFree
from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, Lot, Material, Promise
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.reservations import services as module
from inventory.reservations.services import reserve_stock
from tests.factories import NOW, TODAY, make_material
from tests.races.moments import at_the_same_moment

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
RIVALS = 6


def stocked(kept_as, quantity):
    material = make_material(kept_as=kept_as)
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal("30.00"))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return Material.objects.get(pk=material.pk)


def rivals_for(material, quantity, lot=None, promise=reserve_stock):
    def ask(holder):
        return lambda: promise(
            material=material,
            quantity=Decimal(quantity),
            lot=lot,
            holder=holder,
            holder_name=holder,
            now=NOW,
        )

    return [ask(f"build:{number}") for number in range(RIVALS)]


def winners(outcomes):
    return [outcome for outcome in outcomes if isinstance(outcome, Promise)]


def test_the_last_metre_is_promised_once():
    wire = stocked(KeptAs.LENGTH, 1000)
    outcomes = at_the_same_moment(rivals_for(wire, 1000))
    assert len(winners(outcomes)) == 1
    losers = [outcome for outcome in outcomes if not isinstance(outcome, Promise)]
    assert all(isinstance(outcome, NotEnoughStock) for outcome in losers), losers
    wire.refresh_from_db()
    assert (wire.on_hand, wire.promised) == (1000, 1000)


def test_the_last_set_is_promised_once():
    spruce = stocked(KeptAs.PIECE, 1)
    outcomes = at_the_same_moment(rivals_for(spruce, 1, lot=spruce.lots.get()))
    assert len(winners(outcomes)) == 1
    losers = [outcome for outcome in outcomes if not isinstance(outcome, Promise)]
    assert all(isinstance(outcome, NotEnoughStock | PieceNotFree) for outcome in losers), losers


def test_one_set_of_several_is_promised_once():
    spruce = stocked(KeptAs.PIECE, RIVALS)
    wanted = Lot.objects.filter(material=spruce).first()
    outcomes = at_the_same_moment(rivals_for(spruce, 1, lot=wanted))
    assert len(winners(outcomes)) == 1
    spruce.refresh_from_db()
    assert spruce.promised == 1


def test_without_the_guard_the_last_metre_is_oversold(monkeypatch):
    everybody_has_looked = threading.Barrier(RIVALS, timeout=30)

    def look_then_write(material, quantity):
        fresh = Material.objects.get(pk=material.pk)
        if fresh.free < quantity:
            raise NotEnoughStock(fresh, quantity)
        everybody_has_looked.wait()

    # Neither the transaction (all there is on SQLite), nor the lock, nor the conditional update.
    monkeypatch.setattr(module, "lock_materials", lambda materials: {m.pk: m for m in materials})
    monkeypatch.setattr(module, "_reserve", look_then_write)
    wire = stocked(KeptAs.LENGTH, 1000)
    outcomes = at_the_same_moment(rivals_for(wire, 1000, promise=reserve_stock.__wrapped__))
    promised = sum(promise.outstanding for promise in Promise.objects.filter(material=wire))
    assert promised > wire.on_hand, outcomes
