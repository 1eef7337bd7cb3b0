"""A client's yes and no: kept with what was seen, told to the maker, given once."""

from datetime import timedelta
from decimal import Decimal
from hashlib import sha256

import pytest

from inventory.base.refusals import Refusal
from inventory.models import Lot, Material
from inventory.reservations.services import reserve_stock
from quotes.client_page.locking import LinkNotOpen
from quotes.client_page.services.answers import accept_by_link, decline_by_link
from quotes.client_page.services.links import create_link
from quotes.links.services import mark_message_seen, withdraw_link
from quotes.models import ClientLink, ClientMessage, Decision, Quote
from quotes.quoting.services.decide import accept_quote, expire_quotes
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.issue import issue_quote
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_quote, make_secret

pytestmark = pytest.mark.django_db


@pytest.fixture
def quote(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_offered_quote()


@pytest.fixture
def secret(quote):
    return make_secret(quote)


def say_yes(secret, wanted=None, name="Osric Pondweed", dated=TODAY, on=TODAY):
    return accept_by_link(secret=secret, wanted=wanted, name=name, dated=dated, on=on, now=NOW)


def say_no(secret, words="", name="", on=TODAY):
    return decline_by_link(secret=secret, name=name, words=words, on=on, now=NOW)


def test_the_secret_is_long_and_only_its_hash_is_kept(quote, secret):
    assert len(secret) >= 43
    link = ClientLink.objects.get()
    assert link.secret_sha256 == sha256(secret.encode()).hexdigest()
    kept = {f"{value}" for value in ClientLink.objects.values().get().values()}
    assert secret not in kept
    assert make_secret(quote) != secret


def test_a_yes_keeps_who_when_and_what_was_seen(quote, secret):
    answer = say_yes(secret, name="  Osric   Pondweed ")
    decision = Decision.objects.get()
    assert answer.decision == decision
    assert (decision.name, decision.dated, decision.decided_at) == ("Osric Pondweed", TODAY, NOW)
    with Quote.objects.get().document.open() as paper:
        assert decision.document_sha256 == sha256(paper.read()).hexdigest()
    assert Quote.objects.get().decided_by == "Osric Pondweed"
    assert Material.objects.get().promised == 1
    message = ClientMessage.objects.get()
    assert (message.about, message.name, message.seen_at) == ("accepted", "Osric Pondweed", None)


def test_nothing_of_the_device_is_kept():
    fields = {field.name for model in (Decision, ClientLink, ClientMessage)
              for field in model._meta.get_fields()}  # fmt: skip
    assert not {name for name in fields if "addr" in name or "agent" in name or name == "ip"}


def test_other_options_are_accepted_as_a_version_of_their_own(quote, secret):
    decision = say_yes(secret, wanted=["Scroll and points"]).decision
    assert (decision.quote.version, decision.quote.options) == (2, ["Scroll and points"])
    assert decision.document_sha256 == decision.quote.document_sha256
    assert ClientLink.objects.get().quote == decision.quote
    assert {(q.version, q.state) for q in Quote.objects.all()} == {(1, "replaced"), (2, "accepted")}
    assert ClientMessage.objects.get().words == "with Scroll and points"


def test_a_second_yes_is_the_first_one_again(quote, secret):
    first = say_yes(secret, wanted=["Scroll and points"])
    again = say_yes(secret, wanted=[], name="Somebody Else")
    assert again.decision == first.decision
    assert (Build.objects.count(), Decision.objects.count()) == (1, 1)
    assert Quote.objects.count() == 2


def test_after_a_no_there_is_no_yes(quote, secret):
    decision = say_no(secret, words="too dear")
    assert (decision.name, decision.words) == ("Osric Pondweed", "too dear")
    assert say_no(secret) == decision
    with pytest.raises(Refusal, match="was declined"):
        say_yes(secret)
    assert ClientMessage.objects.get().about == "declined"
    assert not Build.objects.exists()


def test_after_a_yes_there_is_no_no(quote, secret):
    say_yes(secret)
    with pytest.raises(Refusal, match="is accepted"):
        say_no(secret)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": "  "}, "Enter your name"),
        ({"dated": TODAY - timedelta(days=2)}, "Enter today’s date: 9 March 2027"),
        ({"dated": TODAY + timedelta(days=2)}, "Enter today’s date: 9 March 2027"),
        ({"wanted": ["Gold plating"]}, "not one of the options offered"),
    ],
    ids=["no name", "an old date", "a date to come", "an option nobody offered"],
)
def test_a_yes_that_is_not_whole_is_refused(quote, secret, fields, words):
    with pytest.raises(Refusal, match=words):
        say_yes(secret, **fields)
    assert not Decision.objects.exists()
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_yesterday_and_tomorrow_are_somewhere_today(quote):
    assert say_yes(make_secret(quote), dated=TODAY + timedelta(days=1)).decision


@pytest.mark.parametrize("act", [say_yes, say_no])
def test_a_link_that_is_not_open_opens_nothing(quote, secret, act):
    with pytest.raises(LinkNotOpen):
        act(secret[:-1])
    with pytest.raises(LinkNotOpen):
        act(secret, on=TODAY + timedelta(days=45))
    withdraw_link(link=ClientLink.objects.get(), now=NOW)
    with pytest.raises(LinkNotOpen):
        act(secret)
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_a_lapsed_quote_is_not_accepted_even_before_anybody_marked_it(quote, secret):
    late = quote.valid_until + timedelta(days=1)
    with pytest.raises(Refusal, match="This quote expired on 8 April 2027"):
        say_yes(secret, on=late, dated=late)
    expire_quotes(on=late, now=NOW)
    with pytest.raises(Refusal, match="This quote expired on 8 April 2027"):
        say_yes(secret, on=late, dated=late)


def test_the_link_of_a_replaced_version_can_not_accept(quote, secret):
    issue_quote(quote=revise_quote(quote=quote, on=TODAY), on=TODAY, now=NOW)
    with pytest.raises(Refusal, match="A newer quote replaces this one"):
        say_yes(secret)


def test_what_was_accepted_at_the_desk_is_not_accepted_again(quote, secret):
    accept_quote(quote=quote, on=TODAY, now=NOW, by="Osric Pondweed")
    with pytest.raises(Refusal, match="is accepted"):
        say_yes(secret)
    assert Build.objects.count() == 1


def test_a_piece_that_has_gone_orders_nothing_and_tells_the_maker(quote, secret, tmp_path):
    lot = Lot.objects.first()
    quote.materials.filter(name="top").update(lot=lot)
    reserve_stock(
        material=lot.material,
        quantity=Decimal(1),
        lot=lot,
        holder="build:99",
        holder_name="2027-99",
        now=NOW,
    )
    papers = {path.name for path in tmp_path.rglob("*.pdf")}
    answer = say_yes(secret, wanted=["Scroll and points"])
    assert answer.decision is None
    assert {path.name for path in tmp_path.rglob("*.pdf")} == papers
    assert [(row.version, row.state) for row in Quote.objects.all()] == [(1, "issued")]
    assert not Build.objects.exists()
    assert Material.objects.get().promised == 1
    message = ClientMessage.objects.get()
    assert message.about == "gone"
    assert f"{lot.number} is reserved for 2027-99" in message.words


def test_a_message_is_seen_once(quote, secret):
    say_no(secret)
    seen = mark_message_seen(message=ClientMessage.objects.get(), now=NOW)
    again = mark_message_seen(message=seen, now=NOW + timedelta(days=1))
    assert again.seen_at == NOW


def test_links_lead_to_open_quotes_and_end_later_than_today(quote, secret):
    with pytest.raises(Refusal, match="today or later"):
        create_link(quote=quote, expires_on=TODAY - timedelta(days=1), on=TODAY, now=NOW)
    say_no(secret)
    with pytest.raises(Refusal, match="is declined; a link needs a quote that is sent"):
        create_link(quote=quote, expires_on=TODAY, on=TODAY, now=NOW)


def test_a_withdrawn_link_stays_withdrawn_as_it_was(quote, secret):
    link = withdraw_link(link=ClientLink.objects.get(), now=NOW)
    assert withdraw_link(link=link, now=NOW + timedelta(days=1)).withdrawn_at == NOW
