"""A quote's page has its parts as tabs that the address names, under a bar that stays in sight."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from quotes.models import Client, Quote
from quotes.quoting.services.edit import edit_quote
from tests.quotes.factories import make_machine_heads, make_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(workshop):
    make_machine_heads()
    return make_quote()


def test_every_tab_leads_to_a_part_that_is_there(desk, draft):
    text = desk.get(reverse("quote", args=[draft.pk])).content.decode()
    tabs = re.findall(r'<li><a href="#([\w-]+)"', text)
    assert tabs[0] == "summary"
    assert {"hours", "parts", "chance", "text"} <= set(tabs)
    assert [tab for tab in tabs if text.count(f'id="{tab}"') != 1] == []


def test_the_bar_says_what_is_left_of_the_price_and_leads_to_the_preview(desk, draft):
    """Of 3,080.00, 560.80 is bought: 2,519.20 is left, 81.792 %."""
    text = desk.get(reverse("quote", args=[draft.pk])).text
    assert "<dd>81.8 %</dd>" in text
    assert f'href="{reverse("quote_issue", args=[draft.pk])}">Issue</a>' in text


def test_fees_are_not_left_of_the_price(desk, draft):
    """Of 3,200.00, 560.80 is bought and 115.84 is paid in fees: 2,523.36 is left, 78.855 %.

    The fees: 3,077.00 and 115.84 are 3,192.84, with 20 % tax 3,831.41; 3 % of that is 114.94, and
    three payments take 0.30 each. 3,192.84 is rounded up to the next 10.
    """
    edit_quote(quote=draft, fee_percent=Decimal("0.03"), fee_fixed=Decimal("0.30"))
    text = desk.get(reverse("quote", args=[draft.pk])).text
    assert "<dd>78.9 %</dd>" in text


def test_the_chance_of_the_quoted_price_is_set_into_the_bar_and_no_other(desk, draft):
    address = reverse("quote_risk", args=[draft.pk])
    asked = {"headers": {"HX-Request": "true"}}
    own = desk.get(address, **asked)
    reached = 100 - own.context["sheet"].risk.below_wanted
    assert f'hx-swap-oob="innerHTML:#bar-chance">{reached} %' in own.content.decode()
    other = desk.get(address, {"price": "9000"}, **asked)
    assert "bar-chance" not in other.content.decode()


def test_a_row_that_was_deleted_leads_back_to_its_part(desk, draft):
    stage = draft.stages.first()
    address = reverse("quote_row_remove", args=[draft.pk, "stage", stage.pk])
    assert desk.post(address)["Location"] == f"{reverse('quote', args=[draft.pk])}#hours"


def test_a_quote_is_copied_for_a_client_who_is_not_in_the_books_yet(desk, draft):
    posted = {"new_client": "Mabel Quince", "title": "The same in ash"}
    desk.post(reverse("quote_copy", args=[draft.pk]), posted)
    copy = Quote.objects.get(title="The same in ash")
    assert copy.commission.client == Client.objects.get(name="Mabel Quince")
    assert copy.stages.count() == draft.stages.count()


def test_a_copy_for_nobody_is_asked_again(desk, draft):
    answer = desk.post(reverse("quote_copy", args=[draft.pk]), {"title": "For whom"})
    assert answer.status_code == 422
    assert not Quote.objects.filter(title="For whom").exists()
