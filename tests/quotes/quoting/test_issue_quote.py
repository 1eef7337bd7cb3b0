"""Issuing: numbered without gaps, frozen, printed once."""

from datetime import date, timedelta
from decimal import Decimal
from hashlib import sha256

import pytest

from inventory.base.refusals import Refusal
from quotes.base.locking import NotADraft
from quotes.models import Quote
from quotes.pricing.queries.offer import live_offer, offer_of
from quotes.quoting.services.decide import expire_quotes
from quotes.quoting.services.draft import copy_quote, revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows, remove_row
from tests.factories import NOW
from tests.quotes.factories import ON, make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def template(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_line(template, "top", cost_likely=Decimal("40"))
    return template


@pytest.fixture
def issued(template):
    return issue_quote(quote=make_quote(template=template), on=ON, now=NOW)


def test_numbers_run_without_gaps_and_start_anew_each_year(template):
    def issue(on):
        return issue_quote(quote=make_quote(template=template), on=on, now=NOW).number

    empty = make_quote(make_commission(), make_template("nothing in it"))
    edit_quote(quote=empty, price_step=Decimal(0))
    first = issue(ON)
    with pytest.raises(Refusal, match="has no price yet"):
        issue_quote(quote=empty, on=ON, now=NOW)
    assert [first, issue(ON), issue(date(2028, 1, 1))] == ["Q-2027-001", "Q-2027-002", "Q-2028-001"]


def test_the_document_is_kept_with_its_hash(issued):
    with Quote.objects.get().document.open() as document:
        assert sha256(document.read()).hexdigest() == issued.document_sha256


def test_what_was_sent_reads_back_as_it_was(template, issued):
    draft = make_quote(template=template)
    assert offer_of(issued, on=ON) == offer_of(Quote.objects.get(pk=issued.pk), on=ON)
    assert offer_of(issued, on=ON).sheet.price == live_offer(draft, on=ON).sheet.price


def test_what_was_sent_does_not_change(issued):
    stage = issued.stages.get()
    for act in (
        lambda: edit_quote(quote=issued, title="Other"),
        lambda: edit_rows(quote=issued, stages={stage.pk: {"hours": Decimal(9)}}),
        lambda: remove_row(row=stage),
        lambda: issue_quote(quote=issued, on=ON, now=NOW),
    ):
        with pytest.raises(NotADraft, match="a sent quote stays as it is"):
            act()


def test_a_revision_replaces_when_it_is_issued_not_before(issued):
    draft = revise_quote(quote=issued, on=ON)
    assert (draft.number, draft.version, draft.state) == ("Q-2027-001", 2, "draft")
    assert Quote.objects.get(pk=issued.pk).state == Quote.State.ISSUED
    with pytest.raises(Refusal, match="has a draft revision already"):
        revise_quote(quote=issued, on=ON)
    issue_quote(quote=draft, on=ON, now=NOW)
    assert Quote.objects.get(pk=issued.pk).state == Quote.State.REPLACED


def test_a_copy_takes_todays_policy_and_keeps_hours_and_lines(issued):
    make_policy(shop_rate=Decimal(50))
    copy = copy_quote(quote=issued, on=ON, commission=make_commission(title="Another"))
    assert (copy.number, copy.state, copy.shop_rate) == ("", "draft", Decimal(50))
    assert [row.hours for row in copy.stages.all()] == [Decimal(4)]
    assert issued.stages.count() == 1


def test_a_copy_for_somebody_abroad_takes_their_money_and_tax(workshop, issued):
    workshop.country = "NL"
    workshop.save()
    lune = make_client("Lune Farthing-Quill", country="US", currency="USD")
    copy = copy_quote(quote=issued, on=ON, commission=make_commission(lune))
    assert (copy.currency, copy.tax_kind, copy.tax_rate) == ("USD", "G", 0)
    with pytest.raises(Refusal, match=r"Give the exchange rate \(USD for 1 EUR\)"):
        live_offer(copy, on=ON)


def test_only_what_is_past_its_day_lapses(issued):
    assert expire_quotes(on=issued.valid_until, now=NOW) == []
    assert expire_quotes(on=date(2027, 4, 2), now=NOW) == [issued]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"parts": "30 30"}, "must add up to 100"),
        ({"parts": "half"}, "is not a percentage"),
        ({"currency": "QQQ"}, "is not a currency code"),
        ({"currency": "CHF", "exchange_rate_on": None}, r"Give the exchange rate \(CHF for 1 EUR"),
        ({"options": ["Cutaway"]}, "has no option"),
        ({"number": "Q1"}, "can't be edited"),
    ],
    ids=["parts", "words", "currency", "rate", "option", "number"],
)
def test_a_change_that_can_not_be_meant_is_refused(template, fields, sentence):
    quote = make_quote(template=template)
    with pytest.raises(Refusal, match=sentence):
        edit_quote(quote=quote, **fields)


def test_an_instrument_is_not_promised_for_a_day_that_has_passed(template):
    draft = make_quote(template=template)
    edit_quote(quote=draft, ready_on=ON - timedelta(days=1))
    with pytest.raises(Refusal, match="has passed"):
        issue_quote(quote=draft, on=ON, now=NOW)
    edit_quote(quote=draft, ready_on=ON)
    assert issue_quote(quote=draft, on=ON, now=NOW).number == "Q-2027-001"
