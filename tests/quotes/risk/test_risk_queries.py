"""What a quote's price risks, gathered from its rows, past builds and the year plan."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows
from quotes.risk.queries import RiskAsked, risk_sheet
from quotes.shop_rate.services import plan_year
from tests.factories import NOW, TODAY, make_material
from tests.quotes.factories import make_commission, make_policy, make_quote
from tests.quotes.shop_rate.test_shoprate import YEAR
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db
CERTAIN = RiskAsked(prices_move=Decimal(0), redo_hours=Decimal(0))


@pytest.fixture
def template(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("20", "40", "80"))
    make_template_stage(template, "Finish", hours=("10", "20", "40"))
    spruce = make_material("spruce set", kept_as="piece", replacement_price=Decimal("46"))
    make_template_line(
        template, "top", material=spruce, waste_rule="whole", waste_rate=Decimal("0.08")
    )
    return template


@pytest.fixture
def quote(template):
    return make_quote(template=template, on=TODAY)


def plan_the_year():
    plan_year(
        overheads=[(each.name, each.yearly) for each in YEAR.overheads],
        weeks=YEAR.weeks,
        weekly_hours=YEAR.weekly_hours,
        billable_share=Decimal("0.6"),
        wanted_pay=YEAR.wanted_pay,
        profit_margin=Decimal("0.1"),
    )


def test_the_same_question_has_the_same_answer(quote):
    assert risk_sheet(quote, RiskAsked(), on=TODAY) == risk_sheet(quote, RiskAsked(), on=TODAY)


def test_certain_hours_give_the_figures_of_plain_arithmetic(workshop):
    make_policy(price_step=Decimal(0), contingency=Decimal(0))
    template = make_template("Plain")
    make_template_stage(template, "Carve", hours=("0", "0", "0"))
    make_template_line(template, "top", cost_likely=Decimal(100))
    quote = make_quote(make_commission(), template, on=TODAY)
    edit_rows(quote=quote, stages={quote.stages.get().pk: {"hours": Decimal(10)}})
    sheet = risk_sheet(quote, RiskAsked(price=Decimal(500), prices_move=Decimal(0)), on=TODAY)
    # 500 less 100 of material over 10 certain hours: 40 an hour, under the shop rate of 45.
    assert (sheet.certain_hours, sheet.bought) == (10, 100)
    assert sheet.risk.hourly.low == sheet.risk.hourly.middle == sheet.risk.hourly.high == 40
    assert (sheet.risk.below_wanted, sheet.risk.below_nothing) == (100, 0)
    assert sheet.reaching == 550
    assert risk_sheet(quote, RiskAsked(price=Decimal(550), prices_move=Decimal(0)), on=TODAY
                      ).risk.below_wanted == 0  # fmt: skip


def test_a_higher_price_risks_less(quote):
    risks = [
        risk_sheet(quote, RiskAsked(price=Decimal(price)), on=TODAY).risk
        for price in (2000, 3000, 4000)
    ]
    wanted = [risk.below_wanted for risk in risks]
    assert wanted == sorted(wanted, reverse=True)
    assert wanted[0] > wanted[-1]
    assert [risk.hourly.middle for risk in risks] == sorted(risk.hourly.middle for risk in risks)


@pytest.mark.parametrize("chance", [50, 80, 95])
def test_the_price_that_reaches_a_chance_does(quote, chance):
    reaching = risk_sheet(quote, RiskAsked(chance=Decimal(chance)), on=TODAY).reaching
    assert reaching % quote.price_step == 0
    at = risk_sheet(quote, RiskAsked(price=reaching), on=TODAY).risk.below_wanted
    under = risk_sheet(quote, RiskAsked(price=reaching - quote.price_step), on=TODAY).risk
    assert at <= 100 - chance
    assert under.below_wanted >= at


def test_pay_and_overhead_are_the_year_plan_s(quote):
    before = risk_sheet(quote, CERTAIN, on=TODAY)
    assert (before.wanted, before.overhead, before.is_planned) == (45, 0, False)
    plan_the_year()
    after = risk_sheet(quote, CERTAIN, on=TODAY)
    assert (round(after.wanted, 2), round(after.overhead, 2)) == (
        Decimal("27.17"),
        Decimal("13.04"),
    )
    assert after.risk.hourly == before.risk.hourly
    less = before.risk.hourly.middle - after.overhead
    assert abs(after.risk.earned.middle - less) <= Decimal("0.01")


def test_expected_waste_is_a_failure_with_a_chance(quote):
    (risk,) = risk_sheet(quote, RiskAsked(), on=TODAY).failures
    assert (risk.name, risk.chance_percent, risk.cost) == ("top", Decimal("8.0"), 46)
    redone = risk_sheet(quote, RiskAsked(redo_hours=Decimal(40)), on=TODAY)
    assert redone.risk.hourly.low < risk_sheet(quote, CERTAIN, on=TODAY).risk.hourly.low


def test_what_is_spoilt_from_a_pack_is_a_cost_and_no_failure(template):
    make_template_line(
        template, "lacquer", cost_likely=Decimal(30), waste_rule="share", waste_rate=Decimal("0.4")
    )
    sheet = risk_sheet(make_quote(template=template, on=TODAY), RiskAsked(), on=TODAY)
    assert [risk.name for risk in sheet.failures] == ["top"]
    assert sheet.bought == 46 + 50


def test_a_dealer_s_discount_and_fees_come_off(quote):
    plain = risk_sheet(quote, CERTAIN, on=TODAY).reaching
    edit_quote(quote=quote, dealer_discount=Decimal("0.25"))
    quote.refresh_from_db()
    dear = risk_sheet(quote, CERTAIN, on=TODAY).reaching
    assert abs(dear * Decimal("0.75") - plain) <= 2 * quote.price_step


def test_foreign_money_adds_to_the_spread(quote):
    edit_quote(quote=quote, currency="USD", exchange_rate=Decimal("1.1"), exchange_rate_on=TODAY)
    quote.refresh_from_db()
    still = risk_sheet(quote, RiskAsked(money_moves=Decimal(0)), on=TODAY)
    moving = risk_sheet(quote, RiskAsked(money_moves=Decimal(15)), on=TODAY)
    assert still.is_foreign
    assert moving.risk.hourly.high > still.risk.hourly.high
    assert moving.risk.hourly.low < still.risk.hourly.low


def test_what_was_sent_is_judged_as_it_was_sent(quote):
    sent = issue_quote(quote=quote, on=TODAY, now=NOW)
    before = risk_sheet(sent, RiskAsked(), on=TODAY)
    make_policy(shop_rate=Decimal(99))
    assert risk_sheet(sent, RiskAsked(), on=TODAY + timedelta(days=9)).quoted == before.quoted


def test_the_hours_are_the_template_s_where_no_build_is_past(quote):
    assert "template's own figures" in risk_sheet(quote, RiskAsked(), on=TODAY).whose


def test_a_quote_without_hours_has_no_risk_to_tell(workshop):
    make_policy()
    quote = make_quote(make_commission(), make_template("empty"), on=date(2027, 3, 2))
    with pytest.raises(Refusal, match="no hours yet"):
        risk_sheet(quote, RiskAsked(), on=TODAY)
