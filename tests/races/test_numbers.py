"""Many sessions issue at the same moment: numbers run without gaps and without doubles.

The control takes the counter's lock away: there the same race gives one number twice.
"""

import threading
from inspect import unwrap

import pytest
from django.db import IntegrityError

from inventory.models import Series, Workshop
from quotes.base.calc.numbering import gaps
from quotes.invoicing.services import invoices as module
from quotes.invoicing.services.invoices import issue_invoice
from quotes.models import Invoice, Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.races.moments import at_the_same_moment
from tests.shop.factories import make_template, make_template_stage

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
RIVALS = 6


@pytest.fixture(autouse=True)
def shop(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick")
    make_policy()
    # The race is about numbers: what the paper looks like is tested elsewhere.
    monkeypatch.setattr(module, "print_paper", lambda *_, **__: b"%PDF-")
    monkeypatch.setattr("quotes.papers.bookkeeping.print_paper", lambda *_, **__: b"%PDF-")


def quotes(count):
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    return [make_quote(make_commission(make_client(f"{n}")), template) for n in range(count)]


def accepted(count):
    sent = [issue_quote(quote=quote, on=TODAY, now=NOW) for quote in quotes(count)]
    return [accept_quote(quote=quote, on=TODAY, now=NOW).quote for quote in sent]


def numbers(rows):
    return sorted(int(row.number.rpartition("-")[2]) for row in rows)


def test_quotes_issued_together_have_numbers_without_gaps():
    drafts = quotes(RIVALS)
    outcomes = at_the_same_moment(
        [lambda quote=quote: issue_quote(quote=quote, on=TODAY, now=NOW) for quote in drafts]
    )
    assert numbers(outcomes) == list(range(1, RIVALS + 1))


def test_invoices_issued_together_have_numbers_without_gaps_even_when_some_fail():
    ready = accepted(RIVALS)
    twice = [*ready, *ready]
    outcomes = at_the_same_moment(
        [lambda q=quote: issue_invoice(quote=q, part=0, on=TODAY) for quote in twice]
    )
    issued = [outcome for outcome in outcomes if isinstance(outcome, Invoice)]
    assert len(issued) == RIVALS, outcomes
    assert gaps(numbers(issued)) == []
    assert numbers(Invoice.objects.all()) == list(range(1, RIVALS + 1))


def test_a_quote_accepted_together_becomes_one_build():
    (draft,) = quotes(1)
    quote = issue_quote(quote=draft, on=TODAY, now=NOW)
    outcomes = at_the_same_moment(
        [lambda: accept_quote(quote=quote, on=TODAY, now=NOW) for _ in range(RIVALS)]
    )
    assert sum(not isinstance(outcome, Exception) for outcome in outcomes) == 1, outcomes
    assert Build.objects.count() == 1
    assert Quote.objects.get().state == Quote.State.ACCEPTED


def test_without_the_counters_lock_one_number_is_given_twice(monkeypatch):
    everybody_has_looked = threading.Barrier(RIVALS, timeout=30)

    def look_then_write(*, series):
        last = Series.objects.get_or_create(key=series)[0].last
        everybody_has_looked.wait()
        return last + 1

    monkeypatch.setattr(module, "next_number", look_then_write)
    monkeypatch.setattr("quotes.invoicing.services.invoices.lock_order", lambda quote: quote)
    monkeypatch.setattr(
        "quotes.invoicing.services.invoices.book_invoice", unwrap(module.book_invoice)
    )
    ready = accepted(RIVALS)
    unlocked = unwrap(issue_invoice)
    outcomes = at_the_same_moment(
        [lambda q=quote: unlocked(quote=q, part=0, on=TODAY) for quote in ready]
    )
    assert any(isinstance(outcome, IntegrityError) for outcome in outcomes), outcomes
    assert Invoice.objects.count() < RIVALS
