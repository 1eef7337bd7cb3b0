"""A workshop with all that stands on its papers."""

from decimal import Decimal

import pytest

from quotes.models import PricingPolicy
from tests.quotes.factories import make_policy


@pytest.fixture
def lettered(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    workshop.address, workshop.tax_number = "Old Dairy, Mill Lane\nTurnip Hollow", "NL123456782B90"
    workshop.email, workshop.phone = "posy@turnip.example", "0100 12"
    workshop.save()
    make_policy(shipping=Decimal("33.33"), terms="Paid before it leaves.\nKept for two years.")
    PricingPolicy.objects.update(iban="NL64 TURN 0000 1234 56", account_holder="Posy Thimblewick")
    return workshop
