"""What the maker reads of an order of several instruments: margin, prices, queue, versions."""

from decimal import Decimal

import pytest

from quotes.quoting.queries.quote_page import quote_page
from tests.quotes.factories import ON, make_pair

pytestmark = pytest.mark.django_db


def test_the_margin_is_of_what_a_dealer_pays(workshop):
    """575.00 to keep at 50 % off: list 1,150.00, of it 575.00 is paid; (575 - 100) / 575."""
    page = quote_page(make_pair(dealer_discount=Decimal("0.5")).pk, ON)
    assert page.offer.sheet.price == 1150
    assert page.margin == Decimal(100) * 475 / 575
