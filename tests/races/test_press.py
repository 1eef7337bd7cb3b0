"""Many papers asked for at once: few wait, the others are told, and a tap goes past them all.

The server's threads are a pool of the size that `start` serves SQLite with. The control lets all
wait: there the tap stands behind the papers.
"""

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import pytest
from django.db import connections
from django.test import Client
from rest_framework.test import APIClient

from inventory.base import turns
from quotes.base.calc.numbering import gaps
from quotes.invoicing.services.invoices import issue_invoice
from quotes.models import Invoice
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from shop.launch.serving import THREADS_ONE_WRITER, THREADS_PER_PROCESS
from shop.models import TimeEntry
from tests.conftest import make_person
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_build, make_template, make_template_stage

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
PAPERS = 40
VERY_LONG_S = 120


@pytest.fixture
def press(monkeypatch, workshop):
    """A layout that takes until it is told to end."""
    press = SimpleNamespace(begun=threading.Event(), may_end=threading.Event(), laid_out=[])

    def slow(*_):
        press.laid_out.append(threading.get_ident())
        press.begun.set()
        press.may_end.wait(VERY_LONG_S)
        return b"%PDF-"

    monkeypatch.setattr("inventory.base.documents._written", slow)
    monkeypatch.setattr("quotes.papers.documents.printing._laid_out", slow)
    return press


def in_pool(pool, act):
    def run():
        try:
            return act()
        finally:
            connections.close_all()

    return pool.submit(run)


def paper_and_tap():
    """Return who asks for a job card, and who taps the clock."""
    build = make_build()
    work = [{"build": build.pk, "stage": build.stages.get().pk}]
    person = make_person("posy", "owner")
    phone = APIClient()
    phone.force_authenticate(person)

    def ask_for_paper():
        browser = Client()
        browser.force_login(person)
        return browser.get(f"/builds/{build.pk}/job-card.pdf")

    def tap():
        return phone.post("/api/v1/clock/start/", {"work": work})

    return ask_for_paper, tap


def answers_beside_a_tap(press, patience):
    """Ask for all papers at once, then tap; return whether the tap waited, and the answers."""
    ask_for_paper, tap = paper_and_tap()
    with ThreadPoolExecutor(THREADS_ONE_WRITER) as pool:
        asked = [in_pool(pool, ask_for_paper) for _ in range(PAPERS)]
        assert press.begun.wait(30)
        tapped = in_pool(pool, tap)
        try:
            tapped.result(patience)
            has_waited = False
        except TimeoutError:
            has_waited = True
        else:
            until_told(asked)
        press.may_end.set()
        assert tapped.result(60).status_code in {200, 201}, tapped.result().content
        return has_waited, [one.result(60) for one in asked]


def until_told(asked):
    """Wait until all are told to come again but for the few that are printed or may wait."""
    ends = time.monotonic() + VERY_LONG_S / 2
    while sum(not one.done() for one in asked) > 1 + turns.MOST_WAITING:
        assert time.monotonic() < ends, "too many wait"
        time.sleep(0.05)


def test_a_tap_goes_past_many_papers(press, monkeypatch):
    monkeypatch.setattr(turns, "LONGEST_WAIT_S", VERY_LONG_S)
    has_waited, answers = answers_beside_a_tap(press, VERY_LONG_S / 2)
    assert not has_waited
    assert TimeEntry.objects.count() == 1
    printed = [one for one in answers if one.status_code == 200]
    told = [one for one in answers if one.status_code == 503]
    assert len(printed) == len(press.laid_out) == 1 + turns.MOST_WAITING
    assert len(told) == PAPERS - len(printed)
    assert {one["Retry-After"] for one in told} == {str(turns.RETRY_AFTER_S)}
    assert all("Other papers are being printed" in one.content.decode() for one in told)


def test_where_all_may_wait_a_tap_stands_behind_them(press, monkeypatch):
    monkeypatch.setattr(turns, "MOST_WAITING", PAPERS)
    monkeypatch.setattr(turns, "LONGEST_WAIT_S", VERY_LONG_S)
    has_waited, answers = answers_beside_a_tap(press, 2)
    assert has_waited
    assert {one.status_code for one in answers} == {200}


def test_those_who_wait_leave_threads_for_others():
    assert min(THREADS_ONE_WRITER, THREADS_PER_PROCESS) > 1 + turns.MOST_WAITING


def test_an_invoice_that_was_not_begun_leaves_nothing_and_no_gap(press, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    press.may_end.set()
    drafts = [make_quote(make_commission(make_client(f"{n}")), template) for n in range(6)]
    sent = [issue_quote(quote=draft, on=TODAY, now=NOW) for draft in drafts]
    quotes = [accept_quote(quote=quote, on=TODAY, now=NOW).quote for quote in sent]
    press.may_end.clear()

    told = []

    def attempt(quote):
        try:
            return issue_invoice(quote=quote, part=0, on=TODAY)
        except turns.PressBusy:
            told.append(quote)
            if len(told) == len(quotes) - 1 - turns.MOST_WAITING:
                press.may_end.set()

    with ThreadPoolExecutor(len(quotes)) as pool:
        asked = [in_pool(pool, lambda q=quote: attempt(q)) for quote in quotes]
        issued = [found for one in asked if (found := one.result(60))]
    assert len(issued) == 1 + turns.MOST_WAITING
    issued += [issue_invoice(quote=quote, part=0, on=TODAY) for quote in told]
    assert gaps([int(one.number.rpartition("-")[2]) for one in issued]) == []
    assert Invoice.objects.count() == len(quotes)
