"""The shop rate's page: the example workshop's figures, its levers, and the rate put to use.

The figures are an example workshop's (common practice, no source): overheads of 14,400, 46 weeks of
40 hours, 60 % billable, 30,000 of pay and a margin of 10 %.
"""

import re
from decimal import Decimal

import pytest

from quotes.models import Overhead, PricingPolicy, YearPlan
from quotes.shop_rate.queries import overhead_per_hour, recorded_share
from quotes.shop_rate.services import plan_year
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_policy
from tests.quotes.shop_rate.test_shoprate import YEAR
from tests.shop.factories import make_build, make_template, make_template_stage

pytestmark = pytest.mark.django_db
OVERHEADS = [(each.name, each.yearly) for each in YEAR.overheads]


@pytest.fixture(autouse=True)
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


def typed(overheads=OVERHEADS, **fields):
    """The form as a browser sends it."""
    sent = {
        "weeks": "46", "weekly_hours": "40", "billable_share": "60", "wanted_pay": "30000",
        "profit_margin": "10", "rate_step": "1", "form-TOTAL_FORMS": len(overheads),
        "form-INITIAL_FORMS": 0,
    } | fields  # fmt: skip
    for place, (name, yearly) in enumerate(overheads):
        sent |= {f"form-{place}-name": name, f"form-{place}-yearly": f"{yearly}"}
    return sent


def figures(page):
    """Each line of the account: name → amount as shown."""
    text = page.content.decode()
    name, how = r'class="name">([^<]*)</span>', r'<span class="how">[^<]*</span>'
    lines = re.findall(name + how + r'<span class="amount">(.*?)</span>\s*</', text)
    return {name: re.sub(r"<[^>]*>", "", amount).strip() for name, amount in lines}


def test_the_example_workshop_comes_out(desk):
    shown = figures(desk.post("/workshop/shop-rate/try/", typed()))
    assert shown["Overheads per year"] == "14,400.00"
    assert shown["Working hours"] == "1,840:00 h"
    assert shown["Billable hours"] == "1,104:00 h"
    assert shown["Overhead per billable hour"] == "13.04"
    assert shown["Pay per billable hour"] == "27.17"
    assert shown["Break-even rate"] == "40.22"
    assert shown["With profit"] == "44.69"
    assert shown["Shop rate"] == "45.00"
    assert shown["Rent"] == "5,400.00"


@pytest.mark.parametrize(("share", "rate"), [("50", "53.62"), ("70", "38.30")])
def test_the_billable_share_is_the_strongest_lever(desk, share, rate):
    page = desk.post("/workshop/shop-rate/try/", typed())
    text = page.content.decode()
    assert f"{share} %" in text
    assert rate in text
    assert page.context["levers"][0].name == "Billable share, %"
    moved = figures(desk.post("/workshop/shop-rate/try/", typed(billable_share=share)))
    assert moved["With profit"] == rate


def test_trying_keeps_nothing(desk):
    desk.post("/workshop/shop-rate/try/", typed())
    assert not YearPlan.objects.exists()


def test_a_figure_that_is_no_number_is_told_where_the_rate_would_be(desk):
    page = desk.post("/workshop/shop-rate/try/", typed(weeks="many"))
    assert "Fill in every figure with a number" in page.content.decode()
    page = desk.post("/workshop/shop-rate/try/", typed(billable_share="0"))
    assert "must be more than 0" in page.content.decode()


def test_keeping_the_year_leaves_the_policy_alone(desk):
    make_policy(shop_rate=Decimal(38))
    assert desk.post("/workshop/shop-rate/", typed() | {"do": "keep"}).status_code == 302
    assert Overhead.objects.count() == len(OVERHEADS)
    assert PricingPolicy.objects.get().shop_rate == 38
    text = desk.get("/workshop/shop-rate/").content.decode()
    assert "Rate in use" in text
    assert "below break-even" in text
    assert round(overhead_per_hour(), 2) == Decimal("13.04")


def test_using_the_rate_sets_the_policy(desk):
    make_policy(shop_rate=Decimal(38))
    page = desk.post("/workshop/shop-rate/", typed() | {"do": "use"}, follow=True)
    assert "45.00 is the shop rate" in page.content.decode()
    assert PricingPolicy.objects.get().shop_rate == 45


def test_an_emptied_row_is_taken_out(desk):
    desk.post("/workshop/shop-rate/", typed())
    desk.post("/workshop/shop-rate/", typed([("", ""), ("Rent", "5400"), ("", "")]))
    assert list(Overhead.objects.values_list("name", "yearly")) == [("Rent", Decimal(5400))]


def test_a_cost_without_a_name_is_asked_about(desk):
    page = desk.post("/workshop/shop-rate/", typed([("", "5400")]))
    assert page.status_code == 422
    assert "Name this overhead." in page.content.decode()
    assert not YearPlan.objects.exists()


def test_what_was_recorded_is_offered(desk, posy):
    build = make_build()
    stage = build.stages.get()
    log_hours(person=posy, day=TODAY, minutes=180, now=NOW, work=[Work(build=build, stage=stage)])
    log_hours(
        person=posy, day=TODAY, minutes=60, now=NOW, work=[], is_billable=False, reason="errands"
    )
    assert recorded_share(TODAY).percent == 75
    assert "75 % of 4:00 h were billable" in desk.get("/workshop/shop-rate/").content.decode()
    page = desk.get("/workshop/shop-rate/?recorded=yes")
    assert page.context["year"].billable_percent == 75


def test_nothing_recorded_offers_nothing(desk):
    assert recorded_share(TODAY) is None
    assert "Recorded since" not in desk.get("/workshop/shop-rate/").content.decode()


def test_what_a_year_holds(desk):
    template = make_template("Carved-top mandolin")
    make_template_stage(template, "all of it", hours=("60", "96.5", "157"))
    page = desk.post("/workshop/shop-rate/try/", typed())
    assert [(one.template.name, one.builds) for one in page.context["capacities"]] == [
        ("Carved-top mandolin", Decimal("11.4"))
    ]


@pytest.mark.parametrize("count", [1, 25])
def test_the_page_asks_a_fixed_number_of_questions(desk, count, django_assert_num_queries):
    plan_year(
        overheads=[(f"cost {number}", Decimal(10)) for number in range(count)],
        weeks=Decimal(46),
        weekly_hours=Decimal(40),
        billable_share=Decimal("0.6"),
        wanted_pay=Decimal(30000),
        profit_margin=Decimal("0.1"),
    )
    for _ in range(count):
        make_template_stage(make_template())
    desk.get("/workshop/shop-rate/")
    with django_assert_num_queries(9):
        desk.get("/workshop/shop-rate/")


def test_the_api_plans_and_uses_a_year(phone):
    make_policy(shop_rate=Decimal(38))
    assert phone.get("/api/v1/shop-rate/").json()["rate"] is None
    asked = {
        "overheads": [{"name": name, "yearly": f"{yearly}"} for name, yearly in OVERHEADS],
        "weeks": "46",
        "weekly_hours": "40",
        "billable_share": "0.60",
        "wanted_pay": "30000",
        "profit_margin": "0.10",
        "use": True,
    }
    answer = phone.post("/api/v1/shop-rate/", asked).json()
    assert (answer["rate"]["rate"], answer["rate"]["break_even"]) == ("45.000", "40.2174")
    assert answer["levers"][0]["name"] == "Billable share, %"
    assert PricingPolicy.objects.get().shop_rate == 45
    assert phone.post("/api/v1/shop-rate/", asked | {"weeks": "0"}).status_code == 409


def test_a_new_shop_has_room_for_its_overheads_and_a_kept_year_for_two_more(desk, workshop):
    assert len(desk.get("/workshop/shop-rate/").context["rows"].forms) == 8
    for number in range(9):
        Overhead.objects.create(name=f"cost {number}", yearly=10, position=number)
    assert len(desk.get("/workshop/shop-rate/").context["rows"].forms) == 11
