"""A hold on stock ends with its day, whichever page or answer is asked for first."""

from datetime import timedelta

import pytest

from inventory.models import Material, Promise
from quotes.models import Quote
from quotes.quoting.pages.turn_of_day import TurnOfDayMiddleware
from quotes.quoting.services.holds import hold_stock
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_quote

pytestmark = pytest.mark.django_db

IS_DUE = TurnOfDayMiddleware.is_due
PAGES = [
    "/",
    "/stock/",
    "/stock/m/{material}/",
    "/stock/to-buy/",
    "/stock/holders/quote:{quote}/",
    "/books/today/",
    "/quotes/",
    "/quotes/{quote}/",
    "/builds/",
    "/api/v1/materials/{material}/",
    "/api/v1/promises/",
    "/api/v1/quotes/{quote}/",
]


@pytest.fixture
def clock(monkeypatch, settings, tmp_path, same_day):
    """A clock that the test may set, and days that turn again."""
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr(TurnOfDayMiddleware, "is_due", IS_DUE)
    monkeypatch.setattr(TurnOfDayMiddleware, "day", None)

    def set_to(now):
        monkeypatch.setattr("django.utils.timezone.now", lambda: now)

    set_to(NOW)
    return set_to


@pytest.fixture
def held(workshop, clock):
    """A quote that is open for longer than the spruce set that is held for it, to today."""
    quote = make_offered_quote()
    hold_stock(quote=quote, until=TODAY, on=TODAY, now=NOW)
    assert Material.objects.get().promised == 1
    return quote


def get(desk, page, quote):
    return desk.get(page.format(material=Material.objects.get().pk, quote=quote.pk))


@pytest.mark.parametrize("page", PAGES)
def test_nothing_shows_a_hold_as_promised_after_its_last_day(desk, held, clock, page):
    get(desk, page, held)
    assert Material.objects.get().promised == 1
    clock(NOW + timedelta(days=1))
    shown = get(desk, page, held).content.decode()
    assert Material.objects.get().promised == 0
    assert not Promise.objects.filter(outstanding__gt=0).exists()
    assert "Stock reserved until" not in shown
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_a_day_turns_once(desk, held, clock, monkeypatch):
    turned = []
    monkeypatch.setattr(
        "quotes.quoting.pages.turn_of_day.expire_quotes", lambda *, on, now: turned.append(on)
    )
    for days in (0, 0, 1, 1):
        clock(NOW + timedelta(days=days))
        desk.get("/quotes/")
    assert turned == [TODAY, TODAY + timedelta(days=1)]
