"""A client taps twice, or on two devices: one order, whatever runs at the same moment.

The control takes the locks and the transaction away: there the same taps enter several builds.
"""

import threading
from inspect import unwrap

import pytest

from inventory.models import Workshop
from quotes.client_page.services.answers import ClientAnswer, accept_by_link, decline_by_link
from quotes.models import Decision, Quote
from quotes.quoting.services import decide as module
from quotes.quoting.services.decide import accept_quote
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_quote, make_secret
from tests.races.moments import at_the_same_moment

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
RIVALS = 5


@pytest.fixture
def quote(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("quotes.papers.bookkeeping.print_paper", lambda *_, **__: b"%PDF-")
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    return make_offered_quote()


def say_yes(secret, wanted=None):
    return lambda: accept_by_link(
        secret=secret, wanted=wanted, name="Osric Pondweed", dated=TODAY, on=TODAY, now=NOW
    )


def test_many_taps_on_one_link_are_one_order(quote):
    secret = make_secret(quote)
    outcomes = at_the_same_moment([say_yes(secret, ["Scroll and points"]) for _ in range(RIVALS)])
    assert all(isinstance(outcome, ClientAnswer) for outcome in outcomes), outcomes
    assert (Build.objects.count(), Decision.objects.count()) == (1, 1)
    assert Quote.objects.count() == 2


def test_two_links_with_different_choices_are_one_order(quote):
    secrets = [make_secret(quote) for _ in range(4)]
    choices = [None, ["Scroll and points"], [], ["Binding", "Scroll and points"]]
    acts = [say_yes(secret, wanted) for secret, wanted in zip(secrets, choices, strict=True)]
    outcomes = at_the_same_moment(acts)
    assert sum(isinstance(outcome, ClientAnswer) for outcome in outcomes) == 1, outcomes
    assert (Build.objects.count(), Decision.objects.count()) == (1, 1)
    assert Quote.objects.filter(state=Quote.State.ACCEPTED).count() == 1


def test_a_yes_and_a_no_at_once_are_one_answer(quote):
    secret, other = make_secret(quote), make_secret(quote)
    outcomes = at_the_same_moment(
        [
            say_yes(secret),
            lambda: decline_by_link(secret=other, name="", words="no", on=TODAY, now=NOW),
        ]
    )
    assert sum(isinstance(outcome, ClientAnswer | Decision) for outcome in outcomes) == 1, outcomes
    decision = Decision.objects.get()
    assert Build.objects.count() == (1 if decision.said == "yes" else 0)


def test_without_the_guard_every_tap_is_an_order(quote, monkeypatch):
    everybody_has_looked = threading.Barrier(RIVALS, timeout=30)
    check = module._check_open

    def look_then_wait(quote, on):
        check(quote, on)
        everybody_has_looked.wait()

    # Neither the transaction (all there is on SQLite) nor the locks that need one.
    monkeypatch.setattr(
        module, "lock_with_ended", lambda quote, on: (Quote.objects.get(pk=quote.pk), [])
    )
    monkeypatch.setattr(module, "lock_materials", list)
    monkeypatch.setattr(module, "_check_open", look_then_wait)
    bare = unwrap(accept_quote)
    outcomes = at_the_same_moment(
        [lambda: bare(quote=quote, on=TODAY, now=NOW) for _ in range(RIVALS)]
    )
    assert Build.objects.count() > 1, outcomes
