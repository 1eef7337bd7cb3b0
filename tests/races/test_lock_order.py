"""One order of locks: what touches the same commission waits, and nobody waits for each other.

On SQLite there is one lock and nothing to order; there these tests see that it works at all.
"""

import threading
from datetime import timedelta

import pytest
from django.db import OperationalError, connection, transaction

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from inventory.models import Material, Promise, Workshop
from quotes.cancelling.services import cancel_commission
from quotes.models import Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import copy_quote
from quotes.quoting.services.holds import hold_stock
from quotes.quoting.services.issue import issue_quote
from shop.models import Build, BuildState
from tests.factories import NOW, TODAY, make_material
from tests.quotes.clientside import make_offered_quote
from tests.quotes.factories import make_commission
from tests.races.moments import at_the_same_moment

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
TRIALS = 8


@pytest.fixture(autouse=True)
def shop(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("quotes.papers.bookkeeping.print_paper", lambda *_, **__: b"%PDF-")
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")


def without_second_try(act):
    """Return the act as one transaction that is not begun anew."""
    return act.__wrapped__


def test_accepting_and_cancelling_at_once_never_deadlock():
    first = make_offered_quote()
    accept, cancel = map(without_second_try, (accept_quote, cancel_commission))
    for _ in range(TRIALS):
        quote = issued_copy(first)
        outcomes = at_the_same_moment(
            [
                lambda q=quote: accept(quote=q, on=TODAY, now=NOW),
                lambda q=quote: cancel(commission=q.commission, now=NOW),
            ]
        )
        broken = [one for one in outcomes if isinstance(one, OperationalError)]
        assert broken == []
        assert not isinstance(outcomes[1], Exception), outcomes
        assert isinstance(outcomes[0], Refusal) or cancelled_build(quote), outcomes


def new_commission(quote):
    return make_commission(quote.commission.client)


def cancelled_build(quote):
    build = Build.objects.get(pk=Quote.objects.get(pk=quote.pk).build_id)
    return build.state == BuildState.CANCELLED


@pytest.mark.skipif(connection.vendor != "postgresql", reason="only one can lock at all")
@pytest.mark.parametrize("second_try", [True, False], ids=["begun anew", "without, one is ended"])
def test_of_two_that_wait_for_each_other_one_is_ended_and_begun_anew(second_try):
    materials = [make_material(name) for name in ("spruce", "maple")]
    both_hold_one = threading.Barrier(2, timeout=10)

    def lock_in_order(rows):
        tries = []

        @in_attempts
        @transaction.atomic
        def act():
            tries.append(1)
            for place, row in enumerate(rows):
                Material.objects.select_for_update().get(pk=row.pk)
                if place == 0 and len(tries) == 1:
                    both_hold_one.wait()
            return "done"

        return act if second_try else without_second_try(act)

    acts = [lock_in_order(materials), lock_in_order(materials[::-1])]
    outcomes = at_the_same_moment(acts)
    ended = [one for one in outcomes if isinstance(one, OperationalError)]
    assert len(ended) == (0 if second_try else 1), outcomes


def test_accepting_while_a_hold_ends_and_its_commission_is_cancelled_never_deadlocks():
    """An acceptance lets go of holds of other commissions, whose people act at the same moment."""
    first = make_offered_quote()
    accept, cancel = map(without_second_try, (accept_quote, cancel_commission))
    late = TODAY + timedelta(days=3)
    for _ in range(TRIALS):
        held, wanted = (issued_copy(first) for _ in range(2))
        hold_stock(quote=held, until=TODAY, on=TODAY, now=NOW)
        outcomes = at_the_same_moment(
            [
                lambda q=wanted: accept(quote=q, on=late, now=NOW),
                lambda q=held: cancel(commission=q.commission, now=NOW),
            ]
        )
        assert not any(isinstance(one, Exception) for one in outcomes), outcomes
        assert Quote.objects.get(pk=held.pk).state == Quote.State.CANCELLED
        cancel_commission(commission=wanted.commission, now=NOW)
        assert not Promise.objects.filter(outstanding__gt=0).exists()


def issued_copy(quote):
    copy = copy_quote(quote=quote, commission=new_commission(quote), on=TODAY)
    return issue_quote(quote=copy, on=TODAY, now=NOW)
