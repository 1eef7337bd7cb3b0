"""Alternatives: of a choice exactly one is on, priced against it, from template to the order."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.base.calc.snapshot import from_data
from quotes.models import Quote
from quotes.papers.documents.papers import QuotePaper
from quotes.pricing.queries.choices import frozen_choices, live_choices
from quotes.pricing.queries.offer import live_offer, offer_of
from quotes.quoting.services.draft import copy_quote, draft_quote, revise_quote
from quotes.quoting.services.edit import choose_options, edit_quote
from quotes.quoting.services.issue import issue_quote
from shop.patterns.services.templates import copy_template
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_secret
from tests.quotes.factories import make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

TAILPIECES = {"Brass tailpiece": ("3", "22"), "Cast tailpiece": ("0.5", "90")}
"""Hours and cost of material: figures of the test's own."""


def make_choosing_template():
    """Carving of 20 h, a tailpiece made or bought, a case or none, and binding as a switch."""
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("10", "20", "30"))
    for name, (hours, cost) in TAILPIECES.items():
        option = template.options.create(
            name=name, one_of="Tailpiece", is_on=name == "Brass tailpiece"
        )
        make_template_stage(template, f"{name}: fit", ("0", hours, "9"), option=option)
        make_template_line(template, name, cost_likely=Decimal(cost), option=option)
    template.options.create(name="No case", one_of="Case")
    case = template.options.create(name="Hard case", one_of="Case", is_on=True)
    make_template_line(template, "case", cost_likely=Decimal(90), option=case)
    binding = template.options.create(name="Binding")
    make_template_stage(template, "Bind", ("2", "4", "6"), option=binding)
    return template


pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def template(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy(price_step=Decimal(0))
    return make_choosing_template()


@pytest.fixture
def sent(template):
    draft = make_quote(template=template, on=TODAY)
    offered = [*TAILPIECES, "Hard case", "No case", "Binding"]
    return issue_quote(quote=edit_quote(quote=draft, offered=offered), on=TODAY, now=NOW)


def test_a_draft_has_one_of_each_choice(template):
    draft = make_quote(template=template)
    assert draft.options == ["Brass tailpiece", "Hard case"]
    asked = draft_quote(
        commission=make_commission(), template=template, on=TODAY, options=["Cast tailpiece"]
    )
    assert asked.options == ["Cast tailpiece", "Hard case"]
    with pytest.raises(Refusal, match="choose exactly one of"):
        draft_quote(
            commission=make_commission(), template=template, on=TODAY, options=list(TAILPIECES)
        )


@pytest.mark.parametrize("options", [["Hard case"], [*TAILPIECES, "Hard case"]])
def test_a_draft_with_none_or_two_of_a_choice_is_refused(template, options):
    draft = make_quote(template=template)
    with pytest.raises(Refusal, match="Tailpiece: choose exactly one of"):
        edit_quote(quote=draft, options=options)


def test_each_is_priced_against_the_one_that_is_on(template):
    draft = make_quote(template=template, on=TODAY)
    offer = live_offer(draft, on=TODAY)
    prices = {choice.name: choice for choice in live_choices(draft, offer, on=TODAY)}
    assert prices["Brass tailpiece"].net == 0
    # 0.5 h instead of 3: -112.50 and a tenth of it; 90 instead of 22 with 25 %: 85.
    assert prices["Cast tailpiece"].net == Decimal("-38.75")
    assert prices["Cast tailpiece"].hours == Decimal("-2.5")
    assert prices["No case"].net == Decimal("-112.50")


def test_what_is_on_is_offered_with_its_alternatives(template):
    draft = edit_quote(quote=make_quote(template=template), offered=["Cast tailpiece"])
    assert draft.offered == ["Cast tailpiece", "Brass tailpiece"]


def test_the_other_one_takes_its_place_at_the_frozen_price(sent):
    wanted = ["Cast tailpiece", "Hard case"]
    new = choose_options(quote=sent, wanted=wanted, on=TODAY)
    assert sorted(new.options) == wanted
    before, after = offer_of(sent, on=TODAY), offer_of(new, on=TODAY)
    assert after.document.net == before.document.net - Decimal("38.75")
    assert [stage.name for stage in after.stages] == ["Carve", "Cast tailpiece: fit"]
    assert [line.name for line in after.document.lines] == [
        "Instrument",
        "Tailpiece: Cast tailpiece",
    ]
    assert {line.name for line in after.materials} == {"Cast tailpiece", "case"}


@pytest.mark.parametrize(
    "wanted",
    [["Hard case"], [*TAILPIECES, "Hard case"], ["Cast tailpiece"]],
    ids=["no tailpiece", "two", "no case"],
)
def test_none_or_two_can_not_be_chosen(sent, wanted):
    with pytest.raises(Refusal, match="choose exactly one of"):
        choose_options(quote=sent, wanted=wanted, on=TODAY)
    assert Quote.objects.count() == 1


def test_the_paper_names_the_choice(sent):
    offered = from_data(QuotePaper, sent.frozen["paper"]).offered
    assert [(one.words, one.amount) for one in offered[:2]] == [
        ("Tailpiece: Brass tailpiece", 0),
        ("Tailpiece: Cast tailpiece", Decimal("-38.75")),
    ]


def test_copies_and_revisions_keep_the_choice(sent):
    for draft in (copy_quote(quote=sent, on=TODAY), revise_quote(quote=sent, on=TODAY)):
        assert draft.one_of == sent.one_of
        with pytest.raises(Refusal, match="choose exactly one of"):
            edit_quote(quote=draft, options=[])


def test_a_copied_template_keeps_the_choice(template):
    copy = copy_template(template=template, name="Another")
    assert set(copy.options.values_list("name", "one_of")) == set(
        template.options.values_list("name", "one_of")
    )


def test_what_was_kept_before_choices_is_still_read(sent):
    sent.frozen["choices"] = [
        {name: value for name, value in choice.items() if name != "one_of"}
        for choice in sent.frozen["choices"]
    ]
    assert {choice.one_of for choice in frozen_choices(sent)} == {""}


def test_the_client_takes_one_by_a_radio_button(client, sent):
    url = f"/offer/{make_secret(sent)}/"
    page = client.get(url).content.decode()
    assert page.count('type="radio" name="option-Tailpiece"') == 2
    assert page.count('type="radio" name="option-Case"') == 2
    assert page.count('type="checkbox" name="option"') == 1
    chosen = {"choosing": "1", "option-Tailpiece": "Cast tailpiece", "option-Case": "Hard case"}
    priced = client.get(url, chosen)
    assert priced.context["page"].chosen == ("Hard case", "Cast tailpiece")
    answer = client.post(f"{url}accept/", chosen | {"name": "Osric", "dated": f"{TODAY}"})
    assert answer.status_code == 302
    accepted = Quote.objects.get(state=Quote.State.ACCEPTED)
    assert "Cast tailpiece" in accepted.options
    assert "Brass tailpiece" not in accepted.options


@pytest.mark.parametrize(
    "tampered",
    [
        {"option-Case": "Hard case"},
        {"option-Tailpiece": list(TAILPIECES), "option-Case": "Hard case"},
        {"option": list(TAILPIECES), "option-Case": "Hard case"},
        {"option-Tailpiece": "Free tailpiece", "option-Case": "Hard case"},
        {"option-Tailpiece": "", "option-Case": "Hard case"},
    ],
    ids=["none", "two", "two as boxes", "another", "empty"],
)
def test_a_form_that_was_tampered_with_gets_a_sentence_and_orders_nothing(client, sent, tampered):
    url = f"/offer/{make_secret(sent)}/"
    body = {"choosing": "1", "name": "Osric", "dated": f"{TODAY}"} | tampered
    answer = client.post(f"{url}accept/", body)
    assert answer.status_code == 409
    words = answer.content.decode()
    assert "choose exactly one of" in words or "not one of the options offered" in words
    assert client.get(url, {"choosing": "1"} | tampered).status_code == 409
    assert not Quote.objects.filter(state=Quote.State.ACCEPTED).exists()


def test_the_maker_takes_one_on_the_draft_s_page(desk, template):
    draft = make_quote(template=template, on=TODAY)
    page = desk.get(f"/quotes/{draft.pk}/").content.decode()
    assert page.count('type="radio" name="options-Tailpiece"') == 2
    taken = {"options-Tailpiece": "Cast tailpiece", "options-Case": "No case"}
    assert desk.post(f"/quotes/{draft.pk}/options/", taken).status_code == 302
    draft.refresh_from_db()
    assert sorted(draft.options) == ["Cast tailpiece", "No case"]
    refused = desk.post(f"/quotes/{draft.pk}/options/", {"options-Case": "No case"})
    assert refused.status_code == 409


def test_the_template_s_page_gives_options_their_choice(desk, template):
    rows = {
        "options-TOTAL_FORMS": "2", "options-INITIAL_FORMS": "0",
        "options-0-name": "Nitro", "options-0-one_of": "Finish", "options-0-is_on": "on",
        "options-1-name": "Oil", "options-1-one_of": "Finish", "options-1-is_on": "on",
    }  # fmt: skip
    two = desk.post(f"/templates/{template.pk}/options/", rows)
    assert "Finish: Nitro is already on." in two.content.decode()
    del rows["options-1-is_on"]
    assert desk.post(f"/templates/{template.pk}/options/", rows).status_code == 302
    assert template.options.get(name="Oil").one_of == "Finish"


class PriceOfAnyChoice(TestCase):
    """The price of any choice is the base and its differences."""

    def setUp(self):
        Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy", currency="EUR")
        make_policy(price_step=Decimal(0))
        self.draft = make_quote(template=make_choosing_template(), on=TODAY)

    @settings(max_examples=12, deadline=None)
    @given(
        base=st.tuples(
            st.sampled_from(list(TAILPIECES)), st.sampled_from(["Hard case", "No case"])
        ),
        wanted=st.tuples(
            st.sampled_from(list(TAILPIECES)), st.sampled_from(["Hard case", "No case"])
        ),
    )
    def test_it_is_the_base_and_the_difference(self, base, wanted):
        draft = edit_quote(quote=self.draft, options=list(base))
        offer = live_offer(draft, on=TODAY)
        prices = {one.name: one.net for one in live_choices(draft, offer, on=TODAY)}
        other = live_offer(edit_quote(quote=self.draft, options=list(wanted)), on=TODAY)
        difference = other.sheet.net - offer.sheet.net
        assert abs(sum(prices[name] for name in wanted) - difference) <= Decimal("0.01")
        for name in wanted:
            with_one = [one for one in base if draft.one_of[one] != draft.one_of[name]]
            alone = live_offer(edit_quote(quote=self.draft, options=[*with_one, name]), on=TODAY)
            assert alone.sheet.net == offer.sheet.net + prices[name]
