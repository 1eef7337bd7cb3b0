"""What one of several instruments in an order risks, and a chance at either end of the scale."""

from decimal import Decimal

import pytest

from quotes.models import Quote
from quotes.quoting.queries.quote_page import quote_page
from quotes.risk.queries import RiskAsked, risk_sheet
from quotes.templatetags.rates import chance
from tests.quotes.factories import ON, make_pair

pytestmark = pytest.mark.django_db
CERTAIN = RiskAsked(prices_move=Decimal(0), redo_hours=Decimal(0))


def test_the_first_instrument_bears_the_fees_of_the_whole_order(workshop):
    """575.00 and 575.00 to keep: of a fee of 3 %, 0.03 x 1,150.00 / 0.97 = 35.57 is added.

    Price 610.57; less 3 % of it and of the other's 575.00, 35.57, and 100.00 of material: 475.00
    over 10 h.
    """
    quote = make_pair(fee_percent=Decimal("0.03"), tax_kind="O")
    sheet = risk_sheet(quote, CERTAIN, on=ON)
    assert sheet.quoted == Decimal("610.57")
    assert quote_page(quote.pk, ON).hourly == Decimal("47.50")
    assert sheet.risk.hourly.middle == Decimal("47.50")


def test_shipping_bears_its_fee_from_the_price_too(workshop):
    """Tax of 20 % raises the fee of 3 % to 3.6 % of the net.

    Net to keep 1,150.00 + 100.00 of shipping: 0.036 x 1,250.00 / 0.964 = 46.68 is added. Price
    621.68, hourly (621.68 - 46.68 - 100.00) / 10 = 47.50.
    """
    quote = make_pair(
        fee_percent=Decimal("0.03"), shipping=Decimal(100), tax_kind="S", tax_rate=Decimal("0.2")
    )
    sheet = risk_sheet(quote, CERTAIN, on=ON)
    assert sheet.quoted == Decimal("621.68")
    assert sheet.risk.hourly.middle == Decimal("47.50")


def test_the_panel_says_that_it_is_of_one_instrument(desk, workshop):
    quote = make_pair()
    first = desk.get(f"/quotes/{quote.pk}/risk/").content.decode()
    assert "Of this instrument alone, bearing the payment fees of the whole order." in first
    further = quote.further.get()
    assert "Of this instrument alone." in desk.get(f"/quotes/{further.pk}/risk/").content.decode()
    Quote.objects.filter(pk=further.pk).delete()
    assert "Of this instrument alone" not in desk.get(f"/quotes/{quote.pk}/risk/").content.decode()


@pytest.mark.parametrize(
    ("percent", "words"), [(0, "under 0.5 %"), (1, "1 %"), (99, "99 %"), (100, "over 99.5 %")]
)
def test_no_chance_is_told_as_certain(percent, words):
    assert chance(Decimal(percent)) == words


def test_the_bar_never_says_that_the_target_is_certain(desk, workshop, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.localdate", lambda *_: ON)
    quote = make_pair(price_step=Decimal(1000))  # 1,000.00 for what costs 575.00
    asked = desk.get(f"/quotes/{quote.pk}/risk/", headers={"HX-Request": "true"})
    assert asked.context["sheet"].risk.below_wanted == 0
    assert '#bar-chance">over 99.5 %</span>' in asked.content.decode()
