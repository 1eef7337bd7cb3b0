"""A cut is taken back while a part of it is promised: one of the two happens, never both.

The control takes the check away: there both happen.
"""

import threading
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock
from inventory.ledger.services import reverse as module
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Lot, Promise
from inventory.reservations.services import reserve_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked_pieces
from tests.races.moments import at_the_same_moment

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]


def cut_and_rivals():
    _, (board,) = stocked_pieces(1)
    blank = stocked_pieces(1)[0]
    (part,) = cut_stock(
        lot=board,
        parts=[CutPart(material=blank, measure=Decimal(600))],
        usable=Decimal(2000),
        now=NOW,
    )
    cut = list(board.entries.filter(quantity__lt=0).select_related("material", "lot"))
    ask = {"material": blank, "quantity": Decimal(1), "lot": part, "now": NOW}
    return part, [
        lambda: reverse_groups(entries=cut, now=NOW),
        lambda: reserve_stock(holder="build:1", holder_name="A", **ask),
    ]


def held_and_here(part):
    here = Lot.objects.get(pk=part.pk).remaining
    return Promise.objects.filter(lot=part, outstanding__gt=0).count(), here


def test_a_part_is_promised_or_taken_back():
    for _ in range(3):
        part, rivals = cut_and_rivals()
        outcomes = at_the_same_moment(rivals)
        assert sum(isinstance(outcome, Refusal) for outcome in outcomes) == 1, outcomes
        assert held_and_here(part) in {(1, 1), (0, 0)}


def test_two_people_take_the_same_cut_back_once():
    part, (take_back, _) = cut_and_rivals()
    outcomes = at_the_same_moment([take_back, take_back])
    assert sum(isinstance(outcome, Refusal) for outcome in outcomes) == 1, outcomes
    board = part.cut_from
    board.refresh_from_db()
    assert (board.remaining, board.entries.filter(reason="corrected").count()) == (1, 1)


def test_without_the_check_a_part_is_promised_and_gone(monkeypatch):
    monkeypatch.setattr(module, "_check_promises", lambda act, before: None)
    part, (take_back, promise) = cut_and_rivals()
    promised = threading.Event()
    promise_first = [
        lambda: (promise(), promised.set()),
        lambda: promised.wait(30) and take_back(),
    ]
    outcomes = at_the_same_moment(promise_first)
    assert not any(isinstance(outcome, Exception) for outcome in outcomes), outcomes
    assert held_and_here(part) == (1, 0)
