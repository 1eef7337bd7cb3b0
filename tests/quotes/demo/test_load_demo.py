"""The demo workshop loads whole, and once."""

from decimal import Decimal
from itertools import groupby

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from inventory.models import Count, Lot, Order, PaperKind, Promise, Recipe, StockEntry
from inventory.shelf.queries.traces import contents_of, where_it_went
from inventory.wood.queries import seasoning_of
from quotes.desk.queries import todays_books
from quotes.invoicing.queries.invoices import owed_on
from quotes.models import (
    Change,
    ClientLink,
    CloseOut,
    Expense,
    Invoice,
    Payment,
    PricingPolicy,
    Quote,
    YearPlan,
)
from shop.models import TimeEntry
from tests.shop.kept_hours import added_up, kept_hours

pytestmark = pytest.mark.django_db


def test_the_demo_shows_a_shop_in_every_state(settings, tmp_path):
    """One long look, since loading takes seconds."""
    settings.MEDIA_ROOT = tmp_path
    call_command("load_demo")
    check_quotes()
    check_money()
    check_orders_and_counts()
    check_wood()
    check_every_past_day()
    check_hours()
    with pytest.raises(CommandError, match="needs an empty database"):
        call_command("load_demo")


def check_quotes():
    states = set(Quote.objects.values_list("state", flat=True))
    assert states == {"draft", "issued", "accepted", "declined", "lapsed"}
    assert CloseOut.objects.count() == 1
    link = ClientLink.objects.get()
    assert link.opened_at
    assert len(link.quote.offered) == 5
    assert set(link.quote.one_of.values()) == {"Colour"}
    assert YearPlan.objects.count() == 1
    # 14,400 of overheads over 1,104 hours, pay of 30,000, 10 % margin: 44.69, charged as 45
    assert PricingPolicy.objects.get().shop_rate == 45
    held = Promise.objects.filter(until__isnull=False, outstanding__gt=0)
    assert {promise.holder.split(":")[0] for promise in held} == {"quote"}
    books = todays_books(timezone.localdate())
    assert books.due
    assert books.lapsing


def check_money():
    assert set(Change.objects.values_list("state", flat=True)) == {"agreed", "declined"}
    assert set(Expense.objects.values_list("kind", flat=True)) == {"outside", "shipping"}
    assert Payment.objects.filter(amount__lt=0, counter_to=None).count() == 1
    documents = [invoice.frozen["document"] for invoice in Invoice.objects.all()]
    rates = [{group["rate"]["category"] for group in each["groups"]} for each in documents]
    assert {"S"} in rates
    assert {"G"} in rates
    assert {"K"} in rates
    assert {len(each["groups"]) for each in documents} == {1, 2}
    (account,) = [each for each in owed_on(timezone.localdate()) if each.account.owed]
    assert account.invoices[0].days_late > 0


def check_orders_and_counts():
    assert {order.sent_on is not None for order in Order.objects.all()} == {True, False}
    assert Order.objects.filter(lines__received__gt=0, closed_on=None).exists()
    assert {count.closed_at is not None for count in Count.objects.all()} == {True, False}
    differences = StockEntry.objects.filter(reason="counted")
    assert differences.count() == 4
    assert Recipe.objects.count() == 3


def check_wood():
    board = Lot.objects.get(material__name="Walnut board, 30 mm")
    forecast = seasoning_of(board.piece).forecast
    assert forecast.earliest <= forecast.on < forecast.latest
    assert board.photos.exists()
    cut = Lot.objects.get(material__name="Maple board, 52 mm", cut_from=None)
    assert where_it_went(cut), "its blanks went into builds"
    build = StockEntry.objects.filter(material__name__startswith="Indian rosewood", quantity__lt=0)
    papers = [
        paper.kind for row in contents_of(build.get().holder) for paper in row.lot.papers.all()
    ]
    assert PaperKind.PERMIT in papers


def check_every_past_day():
    """No lot ever held less than nothing, but for the one draw that the books lack."""
    entries = StockEntry.objects.exclude(lot=None).order_by("lot", "happened_at", "pk")
    below = set()
    for lot, own in groupby(entries.select_related("lot__material"), key=lambda entry: entry.lot):
        left = Decimal(0)
        for entry in own:
            left += entry.quantity
            if left < 0:
                below.add(lot.material.name)
    assert below <= {"Linings, kerfed"}


def check_hours():
    assert len(kept_hours()) >= 9
    assert kept_hours() == added_up()
    assert TimeEntry.objects.filter(day__lte=timezone.localdate()).exists()
