"""What may go wrong: said in a template, copied into quotes, priced, and run through the risk."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.models import ContingencyBy, Quote
from quotes.quoting.services.draft import copy_quote
from quotes.quoting.services.edit import choose_options, edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import remove_row, set_failure_risk
from quotes.risk.queries import RiskAsked, risk_sheet
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_policy, make_quote, sheet_now
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def template(workshop, settings, tmp_path):
    """Join 3 h, carve 14 h, bind 7 h with an option; carving through loses the top of 45."""
    settings.MEDIA_ROOT = tmp_path
    make_policy(contingency_by=ContingencyBy.FAILURES, price_step=Decimal(0))
    template = make_template("Carved mandolin")
    binding = template.options.create(name="Binding")
    join = make_template_stage(template, "Join", ("2", "3", "4"))
    carve = make_template_stage(template, "Carve top", ("9", "14", "22"))
    bind = make_template_stage(template, "Bind", ("4", "7", "12"), option=binding)
    top = make_template_line(
        template, "top", cost_likely=Decimal(45), waste_rule="whole", waste_rate=Decimal("0.1"),
        stage=carve,
    )  # fmt: skip
    through = carve.failures.create(name="Carved through", one_in=21, redo_from=join)
    through.lost.add(top)
    bind.failures.create(name="Binding breaks", one_in=11, hours=Decimal(2))
    return template


@pytest.fixture
def draft(template):
    return make_quote(template=template, on=TODAY)


def contingency(quote):
    return sheet_now(quote).find("contingency")


def test_the_contingency_is_what_the_failures_cost_on_average(draft):
    # One in 21 is 1 / 20 times a build: (3 + 14) h × 45. The top of 45 lost then, 2.25 on average,
    # is among those that its reject rate of 10 % pays for with 5.00 a build.
    figure = contingency(draft)
    assert figure.amount == Decimal("38.25")
    assert [part.name for part in figure.parts] == ["Carved through"]
    assert figure.parts[0].how == (
        "Carve top: one in 21, 17 h × 45 and 45 lost each time; less 2.25 in its reject rate"
    )


def test_without_a_reject_rate_what_is_lost_counts_in_full(draft):
    draft.materials.update(waste_rule="none", waste_rate=0)
    assert contingency(draft).amount == Decimal("40.50")


def test_what_is_lost_more_often_than_the_rate_says_counts_beyond_it(draft):
    draft.failures.filter(name="Carved through").update(one_in=3)
    # Half a time a build: 17 h × 45 and 45, less the 5.00 that the rate pays.
    assert contingency(draft).amount == Decimal("400.00")


def test_the_page_says_what_the_reject_rate_pays_already(desk, draft):
    page = desk.get(f"/quotes/{draft.pk}/").content.decode()
    assert "of the average is already in the reject rate" in page
    assert "2.25" in page


def test_the_runs_lose_no_more_wood_than_the_larger_of_rate_and_failures(draft):
    for one_in, lost in ((21, Decimal(45) / 9), (3, Decimal(45) / 2)):
        draft.failures.filter(name="Carved through").update(one_in=one_in)
        failures = risk_sheet(Quote.objects.get(), RiskAsked(), on=TODAY).failures
        wood = sum(one.expected_times * one.cost for one in failures)
        assert round(wood, 6) == round(lost, 6)


def test_a_failure_of_a_stage_that_is_off_counts_for_nothing_until_it_is_on(draft):
    edit_quote(quote=draft, options=["Binding"])
    assert contingency(draft).amount == Decimal("38.25") + Decimal(9)


def test_a_percentage_of_labour_takes_no_notice_of_failures(draft):
    edit_quote(quote=draft, contingency_by=ContingencyBy.LABOUR)
    assert contingency(draft).amount == Decimal("76.50")


def test_a_pattern_that_says_nothing_keeps_a_percentage(template):
    quiet = make_template("Plain")
    make_template_stage(quiet, "Carve", ("1", "10", "20"))
    quote = make_quote(template=quiet)
    assert quote.contingency_by == ContingencyBy.LABOUR
    assert contingency(quote).amount == Decimal(45)


def test_what_the_template_says_later_does_not_reach_a_draft(draft, template):
    template.stages.get(name="Carve top").failures.update(one_in=2)
    template.lines.all().delete()
    assert contingency(draft).amount == Decimal("38.25")


def test_a_copy_and_a_chosen_version_have_failures_of_their_own_rows(draft, template):
    edit_quote(quote=draft, offered=["Binding"])
    sent = issue_quote(quote=draft, on=TODAY, now=NOW)
    for other in (
        copy_quote(quote=sent, on=TODAY),
        choose_options(quote=sent, wanted=["Binding"], on=TODAY),
    ):
        through = other.failures.get(name="Carved through")
        assert (through.stage.quote, through.redo_from.quote) == (other, other)
        assert [line.quote for line in through.lost.all()] == [other]


def test_a_failure_is_stated_changed_and_taken_out(draft):
    join, carve, _ = draft.stages.all()
    snap = set_failure_risk(quote=draft, name="Joint opens", stage=join, one_in=11)
    assert contingency(draft).amount == Decimal("38.25") + Decimal("13.50")
    top = draft.materials.get()
    set_failure_risk(
        quote=draft, failure=snap, name="Joint opens", stage=carve, one_in=3, hours=Decimal(1),
        lost=[top],
    )  # fmt: skip
    # Half a time a build: 1 h × 45 and a top, less the 2.75 that the rate has left to pay.
    assert contingency(draft).amount == Decimal("38.25") + Decimal("42.25")
    remove_row(row=snap)
    assert contingency(draft).amount == Decimal("38.25")


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"name": " "}, "name"),
        ({"one_in": 1}, "one_in"),
        ({"hours": Decimal(-1)}, "hours"),
        ({"redo_from": "Carve top"}, "redo_from"),
    ],
)
def test_a_failure_that_can_not_be_meant_is_refused(draft, fields, field):
    asked = {"name": "Joint opens", "stage": draft.stages.first(), "one_in": 9} | fields
    if "redo_from" in fields:
        asked["redo_from"] = draft.stages.get(name="Carve top")
    with pytest.raises(Refusal) as refused:
        set_failure_risk(quote=draft, **asked)
    assert refused.value.field == field
    assert draft.failures.count() == 2


def test_rows_of_another_quote_are_refused(draft, template):
    other = make_quote(template=template)
    with pytest.raises(Refusal, match="no longer in this quote"):
        set_failure_risk(quote=draft, name="X", stage=other.stages.first(), one_in=9)


def test_the_risk_runs_the_chances_that_are_given(draft):
    (through, reject) = risk_sheet(draft, RiskAsked(), on=TODAY).failures
    assert (through.name, through.hours, through.cost) == ("Carved through", 17, 45)
    assert round(through.chance_percent, 2) == Decimal("4.76")
    # What the line's own rate says beyond that stays: 1 / 9 less 1 / 20 times a build is 5.76 %;
    # without assumed hours, since its stage tells what goes wrong.
    assert (reject.name, round(reject.chance_percent, 2), reject.hours) == (
        "top",
        Decimal("5.76"),
        0,
    )


def test_the_api_tells_what_may_fail(phone, draft):
    failures = phone.get(f"/api/v1/quotes/{draft.pk}/risk/").json()["failures"]
    assert failures[0] == {
        "name": "Carved through", "stage": "Carve top", "chance": "one in 21", "hours": "17.00",
        "cost": "45.000",
    }  # fmt: skip


def test_what_was_sent_is_judged_by_the_chances_it_was_sent_with(draft, template):
    sent = issue_quote(quote=draft, on=TODAY, now=NOW)
    before = risk_sheet(sent, RiskAsked(), on=TODAY)
    template.stages.get(name="Carve top").failures.update(one_in=2)
    assert risk_sheet(Quote.objects.get(pk=sent.pk), RiskAsked(), on=TODAY) == before
