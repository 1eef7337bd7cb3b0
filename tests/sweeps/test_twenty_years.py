"""A year of books: no page and no list is larger, or asks more, than after twenty years it may be.

`manage.py bench years` walks the same addresses over twenty years, with their times.
"""

import pytest
from django.utils import timezone

from quotes.demo.services.start import Days
from shop.models import Build
from tests.bench.years import beyond, reason_of
from tests.bench.years.orders import deliver_orders
from tests.bench.years.shop import grow
from tests.bench.years.walk import COPIES, visits
from tests.sweeps.demo import DemoTestCase

ORDERS = 24
"""Copies of each delivered order; twenty years have a thousand."""


class GrownShop(DemoTestCase):
    @pytest.mark.slow
    def test_every_address_stays_within_its_goals(self):
        deliver_orders(Days(self.now, timezone.localdate(self.now)))
        grow(ORDERS)
        assert Build.objects.count() > 100
        self.client.force_login(self.people["owner"])
        self.client.raise_request_exception = False
        seen = list(visits(self.client, COPIES, timed=False))
        assert len(seen) > 330
        missed = {one.path: beyond(one) for one in seen if beyond(one)}
        excused = {one.path for one in seen if reason_of(one) and not one.is_fault}
        assert {path: goals for path, goals in missed.items() if path not in excused} == {}
