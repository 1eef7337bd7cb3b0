"""A change is answered once, whatever runs at the same moment: two yeses, a no, a withdrawal.

The control takes the locks and the transactions away: there the same taps are answers each, and
only the constraint of one decision for each change is left.
"""

import threading
from datetime import timedelta
from inspect import unwrap

import pytest

from inventory.models import Workshop
from quotes.changes import services as deciding
from quotes.changes.services import record_change_decision
from quotes.client_page.services import answers as answering
from quotes.client_page.services.answers import answer_change
from quotes.links.services import withdraw_link
from quotes.models import Change, ClientLink, ClientMessage, Decision
from shop.builds.services.enter import Extension
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_change_secret, make_offered_change, make_ordered_quote
from tests.races.moments import at_the_same_moment

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
RIVALS = 5


@pytest.fixture
def change(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("quotes.papers.bookkeeping.print_paper", lambda *_, **__: b"%PDF-")
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    return make_offered_change(make_ordered_quote())


def agree(secret):
    return lambda: answer_change(
        secret=secret, agreed=True, name="Osric Pondweed", dated=TODAY, on=TODAY, now=NOW
    )


def decline(secret):
    return lambda: answer_change(secret=secret, agreed=False, name="", on=TODAY, now=NOW)


def days_moved(change):
    return Build.objects.get().promised_on - change.quote.build.promised_on


def test_many_taps_on_one_link_are_one_answer(change):
    secret = make_change_secret(change)
    outcomes = at_the_same_moment([agree(secret) for _ in range(RIVALS)])
    assert all(isinstance(outcome, Decision) for outcome in outcomes), outcomes
    assert (Decision.objects.count(), ClientMessage.objects.count()) == (1, 1)
    assert days_moved(change) == timedelta(days=3)


def test_two_links_agree_once(change):
    outcomes = at_the_same_moment([agree(make_change_secret(change)) for _ in range(RIVALS)])
    assert sum(isinstance(outcome, Decision) for outcome in outcomes) == 1, outcomes
    assert days_moved(change) == timedelta(days=3)


def test_a_yes_and_a_no_at_once_are_one_answer(change):
    secret, other = make_change_secret(change), make_change_secret(change)
    outcomes = at_the_same_moment([agree(secret), decline(other)])
    assert sum(isinstance(outcome, Decision) for outcome in outcomes) == 1, outcomes
    said = Decision.objects.get().said
    assert Change.objects.get().state == {"yes": "agreed", "no": "declined"}[said]
    assert days_moved(change) == timedelta(days=3 if said == "yes" else 0)


def test_the_client_and_the_desk_at_once_are_one_answer(change):
    secret = make_change_secret(change)
    at_desk = lambda: record_change_decision(change=change, agreed=False, now=NOW, by="Posy")  # noqa: E731
    outcomes = at_the_same_moment([agree(secret), at_desk])
    assert sum(isinstance(outcome, Decision | Change) for outcome in outcomes) == 1, outcomes
    is_agreed = Change.objects.get().state == "agreed"
    assert Decision.objects.exists() == is_agreed
    assert days_moved(change) == timedelta(days=3 if is_agreed else 0)


def test_a_withdrawal_at_the_same_moment_lets_the_yes_in_whole_or_not_at_all(change):
    secret = make_change_secret(change)
    link = ClientLink.objects.get()
    outcomes = at_the_same_moment([agree(secret), lambda: withdraw_link(link=link, now=NOW)])
    was_agreed = isinstance(outcomes[0], Decision)
    assert Change.objects.get().state == ("agreed" if was_agreed else "offered"), outcomes
    assert (Decision.objects.count(), ClientMessage.objects.count()) == (was_agreed, was_agreed)
    assert ClientLink.objects.get().withdrawn_at == NOW


def test_without_the_guard_every_tap_is_an_answer(change, monkeypatch):
    everybody_has_looked = threading.Barrier(RIVALS, timeout=30)

    def look(change):
        return Change.objects.select_related("quote__build").get(pk=change.pk)

    def look_then_wait(change):
        seen = look(change)
        everybody_has_looked.wait()
        return seen

    # Neither the transactions (all there is on SQLite) nor the locks that need one.
    monkeypatch.setattr(answering, "lock_link", lambda *_, **__: ClientLink.objects.get())
    monkeypatch.setattr(answering, "lock_change", look)
    monkeypatch.setattr(answering, "record_change_decision", unwrap(record_change_decision))
    monkeypatch.setattr(deciding, "lock_change", look_then_wait)
    monkeypatch.setattr(deciding, "extend_build", lambda **_: Extension(stage=None, lines=()))
    bare, secret = unwrap(answer_change), make_change_secret(change)
    yes = {"secret": secret, "agreed": True, "name": "Osric", "dated": TODAY}
    outcomes = at_the_same_moment([lambda: bare(**yes, on=TODAY, now=NOW) for _ in range(RIVALS)])
    assert ClientMessage.objects.count() > 1, outcomes
