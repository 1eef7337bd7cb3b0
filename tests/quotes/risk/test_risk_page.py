"""The risk beside the price: repriced without a reload, and what a wrong figure gets."""

from decimal import Decimal

import pytest

from quotes.base.calc.figures import plain
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def quote(workshop):
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("20", "40", "80"))
    make_template_line(template, "top")
    return make_quote(template=template, on=TODAY)


def test_the_page_shows_chances_a_picture_and_the_price_that_reaches(desk, quote):
    page = desk.get(f"/quotes/{quote.pk}/risk/")
    text = page.content.decode()
    sheet = page.context["sheet"]
    assert f"{sheet.reaching:,.2f}" in text
    assert "<svg" in text
    assert "Worst 10 %" in text


def test_the_slider_changes_only_the_part(desk, quote):
    headers = {"HX-Request": "true"}
    cheap = desk.get(f"/quotes/{quote.pk}/risk/?price=1000", headers=headers)
    dear = desk.get(f"/quotes/{quote.pk}/risk/?price=3000", headers=headers)
    assert cheap.content.decode().lstrip().startswith('<section id="risk"')
    risks = [page.context["sheet"].risk.below_wanted for page in (cheap, dear)]
    assert risks[0] > risks[1]
    assert "1,000.00" in cheap.content.decode()
    assert 'value="1000.00"' in cheap.content.decode()


def test_the_quote_s_page_brings_it_in(desk, quote):
    assert f'hx-get="/quotes/{quote.pk}/risk/"' in desk.get(f"/quotes/{quote.pk}/").content.decode()


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ("price=cheap", "Price, net: This is not a number: write one such as 2.5."),
        ("chance=100", "Reach target pay in: This is too much: it can be 99 at the most."),
        ("prices_move=x", "Material prices vary by: This is not a number"),
        ("money_moves=900", "Exchange rate varies by: This is too much"),
    ],
)
def test_a_wrong_figure_is_named(desk, quote, asked, sentence):
    text = desk.get(f"/quotes/{quote.pk}/risk/?{asked}").content.decode()
    assert sentence in text
    assert f'value="{asked.split("=")[1]}"' in text


def test_the_price_that_reaches_the_chance_can_be_asked_at_once(desk, quote):
    page = desk.get(f"/quotes/{quote.pk}/risk/?chance=95")
    reaching = page.context["sheet"].reaching
    assert f'name="amount" value="{plain(reaching)}"' in page.content.decode()
    desk.post(f"/quotes/{quote.pk}/price/", {"amount": plain(reaching), "is_gross": ""})
    again = desk.get(f"/quotes/{quote.pk}/risk/?chance=95")
    assert again.context["sheet"].quoted == reaching
    assert 'name="amount"' not in again.content.decode()


def test_a_quote_without_hours_says_so(desk, quote):
    quote.stages.all().delete()
    assert "no hours yet" in desk.get(f"/quotes/{quote.pk}/risk/").content.decode()


@pytest.mark.parametrize("count", [1, 25])
def test_it_asks_a_fixed_number_of_questions(desk, quote, count, django_assert_num_queries):
    for number in range(count):
        make_template_line(quote.template, f"line {number}")
        make_template_stage(quote.template, f"stage {number}")
    fresh = make_quote(template=quote.template, on=TODAY)
    desk.get(f"/quotes/{fresh.pk}/risk/")
    with django_assert_num_queries(21):
        desk.get(f"/quotes/{fresh.pk}/risk/")


def test_the_api_tells_the_same(desk, phone, quote):
    page = desk.get(f"/quotes/{quote.pk}/risk/?price=2000&chance=90")
    answer = phone.get(f"/api/v1/quotes/{quote.pk}/risk/?price=2000&chance=0.9").json()
    sheet = page.context["sheet"]
    assert Decimal(answer["reaching"]) == sheet.reaching
    assert Decimal(answer["risk"]["below_wanted"]) * 100 == sheet.risk.below_wanted
    assert phone.get(f"/api/v1/quotes/{quote.pk}/risk/?chance=100").status_code == 400
