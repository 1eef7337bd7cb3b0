"""A client's answer to a change by its link: what is kept, who is told, what is refused."""

from datetime import timedelta
from decimal import Decimal
from hashlib import sha256

import pytest

from inventory.base.refusals import Refusal
from quotes.cancelling.services import cancel_commission
from quotes.changes.documents import change_paper, confirmation_paper
from quotes.changes.queries import specification_steps
from quotes.changes.services import record_change_decision
from quotes.client_page.locking import LinkNotOpen
from quotes.client_page.services.answers import accept_by_link, answer_change, decline_by_link
from quotes.client_page.services.links import create_link
from quotes.links.services import withdraw_link
from quotes.models import Change, ClientLink, ClientMessage, Commission, Decision, Quote
from tests.factories import NOW, TODAY
from tests.quotes.clientside import (
    make_change_secret,
    make_offered_change,
    make_offered_quote,
    make_ordered_quote,
    make_secret,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kept_here(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def change(workshop):
    return make_offered_change(make_ordered_quote())


def agree(secret, **fields):
    values = {"name": "Osric Pondweed", "dated": TODAY, "on": TODAY, "now": NOW}
    return answer_change(secret=secret, agreed=True, **values | fields)


def decline(secret, **fields):
    values = {"name": "", "words": "", "on": TODAY, "now": NOW}
    return answer_change(secret=secret, agreed=False, **values | fields)


def test_its_paper_is_frozen_when_it_is_offered(change):
    with change.document.open() as kept:
        printed = kept.read()
    assert change.document_sha256 == sha256(printed).hexdigest()
    record_change_decision(change=change, agreed=True, now=NOW)
    with Change.objects.get().document.open() as kept:
        assert kept.read() == printed


def test_a_yes_keeps_who_when_and_which_paper(change):
    promised = change.quote.build.promised_on
    decision = agree(make_change_secret(change), name="  Osric \n Pondweed ")
    change.refresh_from_db()
    assert (change.state, change.decided_at, change.decided_by) == ("agreed", NOW, "Osric Pondweed")
    assert (decision.change, decision.said, decision.name) == (change, "yes", "Osric Pondweed")
    assert (decision.dated, decision.decided_at) == (TODAY, NOW)
    assert decision.document_sha256 == change.document_sha256
    change.quote.build.refresh_from_db()
    assert change.quote.build.promised_on == promised + timedelta(days=3)


def test_the_maker_is_told_which_change_was_agreed(change):
    agree(make_change_secret(change))
    message = ClientMessage.objects.get()
    assert (message.about, message.change, message.quote) == ("agreed", change, change.quote)


def test_a_no_keeps_the_word_and_changes_nothing(change):
    promised = change.quote.build.promised_on
    decision = decline(make_change_secret(change), words="Too\nmuch  for me.")
    change.refresh_from_db()
    assert (change.state, change.decided_by) == ("declined", "Osric Pondweed")
    assert (decision.said, decision.words) == ("no", "Too much for me.")
    assert ClientMessage.objects.get().words == "Too much for me."
    change.quote.build.refresh_from_db()
    assert change.quote.build.promised_on == promised


def test_the_history_of_the_specification_names_who_how_and_the_paper(change):
    agree(make_change_secret(change))
    first, second = specification_steps(change.quote)
    change.refresh_from_db()
    assert first.record == f"paper {change.quote.document_sha256[:16]}"
    assert (second.by, second.record) == (
        "Osric Pondweed",
        f"by link, paper {change.document_sha256[:16]}",
    )
    [step] = confirmation_paper(change.quote, TODAY).changes
    assert (step.by, step.record, step.gross) == (second.by, second.record, Decimal("255.60"))


def test_a_quote_accepted_by_link_is_named_so_too(workshop):
    quote = make_offered_quote()
    accept_by_link(
        secret=make_secret(quote), wanted=None, name="Osric", dated=TODAY, on=TODAY, now=NOW
    )
    [first] = specification_steps(Quote.objects.get())
    assert first.record.startswith("by link, paper ")


def test_the_paper_adds_the_change_to_what_is_agreed(change):
    quote = change.quote
    other = make_offered_change(quote, title="Wider nut", price=Decimal(-50), days_added=0)
    record_change_decision(change=other, agreed=True, now=NOW)
    paper = change_paper(Change.objects.get(pk=change.pk))
    assert [step.gross for step in paper.agreement.steps] == [quote.gross, Decimal(-60)]
    assert paper.gross_after == quote.gross - 60 + Decimal("255.60")
    assert paper.agreement.ready_after == paper.agreement.ready_before + timedelta(days=3)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "It is paid in advance."),
        ({"is_paid_ahead": False}, "It is paid with the balance."),
        ({"price": Decimal(-40)}, "It reduces what is still to be paid."),
        ({"is_billed": False}, "It is free of charge."),
    ],
    ids=["ahead", "with the balance", "less", "given away"],
)
def test_the_paper_says_when_it_is_paid(change, fields, words):
    assert change_paper(make_offered_change(change.quote, **fields)).payment_words == words


def test_the_same_answer_again_is_the_first_one(change):
    secret = make_change_secret(change)
    assert agree(secret) == agree(secret, name="Somebody else")
    assert (Decision.objects.count(), ClientMessage.objects.count()) == (1, 1)


@pytest.mark.parametrize(("first", "then"), [(agree, decline), (decline, agree)])
def test_the_other_answer_comes_too_late(change, first, then):
    secret = make_change_secret(change)
    first(secret)
    with pytest.raises(Refusal, match=r"is agreed|was declined"):
        then(secret)
    assert Decision.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"name": "  "}, "name"),
        ({"dated": None}, "dated"),
        ({"dated": TODAY - timedelta(days=2)}, "dated"),
    ],
    ids=["no name", "no day", "another day"],
)
def test_a_yes_needs_a_name_and_todays_date(change, fields, field):
    with pytest.raises(Refusal) as refused:
        agree(make_change_secret(change), **fields)
    assert refused.value.field == field
    assert Change.objects.get().state == "offered"


def test_a_link_to_a_quote_answers_no_change_and_the_other_way_round(workshop):
    quote = make_offered_quote()
    quote_secret = make_secret(quote)
    secret = make_change_secret(make_offered_change(make_ordered_quote(quote)))
    with pytest.raises(LinkNotOpen):
        agree(quote_secret)
    with pytest.raises(LinkNotOpen):
        accept_by_link(secret=secret, wanted=None, name="O", dated=TODAY, on=TODAY, now=NOW)
    with pytest.raises(LinkNotOpen):
        decline_by_link(secret=secret, name="", words="", on=TODAY, now=NOW)


def test_a_withdrawn_or_ended_link_answers_nothing(change):
    ended, withdrawn = make_change_secret(change, days=0), make_change_secret(change)
    withdraw_link(link=ClientLink.objects.first(), now=NOW)
    with pytest.raises(LinkNotOpen):
        agree(withdrawn)
    with pytest.raises(LinkNotOpen):
        agree(ended, on=TODAY + timedelta(days=1))
    assert Change.objects.get().state == "offered"


def test_what_was_decided_at_the_desk_is_not_decided_again(change):
    secret = make_change_secret(change)
    record_change_decision(change=change, agreed=True, now=NOW, by="Osric, on the telephone")
    with pytest.raises(Refusal, match="is agreed"):
        agree(secret)
    assert Change.objects.get().decided_by == "Osric, on the telephone"


def test_in_a_cancelled_order_nothing_is_agreed(change):
    secret = make_change_secret(change)
    cancel_commission(commission=Commission.objects.get(), now=NOW)
    with pytest.raises(Refusal, match="order is closed"):
        agree(secret)


def test_a_change_that_was_answered_gets_no_link(change):
    record_change_decision(change=change, agreed=False, now=NOW)
    with pytest.raises(Refusal, match="can't be answered any more"):
        make_change_secret(Change.objects.get())


def test_a_change_from_before_papers_were_kept_gets_its_own_with_its_link(change):
    Change.objects.update(document="", document_sha256="", frozen=None)
    decision = agree(make_change_secret(Change.objects.get()))
    assert len(decision.document_sha256) == 64


def test_the_last_day_of_a_link_is_not_over(change):
    with pytest.raises(Refusal, match="today or later"):
        create_link(
            quote=change.quote,
            change=change,
            expires_on=TODAY - timedelta(days=1),
            on=TODAY,
            now=NOW,
        )
