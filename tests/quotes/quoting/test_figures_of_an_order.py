"""What the maker reads of an order of several instruments: margin, prices, queue, versions."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.base.refusals import Refusal
from quotes.changes.queries import specification_steps
from quotes.changes.services import offer_change, record_change_decision
from quotes.models import Quote
from quotes.pricing.queries.ready import books_with
from quotes.quoting.queries import queue
from quotes.quoting.queries.queue import if_yes, waiting_quotes
from quotes.quoting.queries.quote_page import quote_page
from quotes.quoting.queries.versions import side_by_side
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.hours import take_hours
from quotes.quoting.services.instruments import add_instrument
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows
from shop.queue.queries.forecast import forecasts_of, queue_on
from shop.queue.queries.trying import NEW
from tests.quotes.factories import ON, make_pair
from tests.shop.factories import NOW
from tests.shop.queue.factories import make_pattern, queue_build

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def test_the_margin_is_of_what_a_dealer_pays(workshop):
    """575.00 to keep at 50 % off: list 1,150.00, of it 575.00 is paid; (575 - 100) / 575."""
    page = quote_page(make_pair(dealer_discount=Decimal("0.5")).pk, ON)
    assert page.offer.sheet.price == 1150
    assert page.margin == Decimal(100) * 475 / 575


def test_every_price_is_what_a_dealer_pays_and_they_add_up_to_the_order(desk):
    """Each 1,150.00 at 50 % off, 575.00, and shipping 100.00: 1,250.00 in all."""
    quote = make_pair(dealer_discount=Decimal("0.5"), shipping=Decimal(100))
    answer = desk.get(f"/quotes/{quote.pk}/")
    assert [line.price for line in answer.context["page"].instruments] == [575, 575]
    text = answer.content.decode()
    table = text[text.index('id="instruments"') :].split("</table>")[0]
    assert "Shipping" in table
    assert "1,250.00" in table.split("Total, net")[1]
    bar = text.split('class="sums"')[1].split("</dl>")[0]
    assert "1,250.00" in bar.split("Order, net")[1].split("</div>")[0]
    assert "Price, net" not in bar


def test_an_order_is_ready_when_its_last_instrument_is(workshop):
    quote = make_pair(batch_saving=Decimal("0.2"))
    found = forecasts_of(books_with(quote, queue_on(ON).books))
    last = found[f"{NEW}:{quote.further.get().pk}"].day_80
    assert found[NEW].day_80 < last
    assert if_yes(quote, ON).forecast.day_80 == last


def test_a_rush_costs_at_most_the_hours_of_all_instruments(workshop, monkeypatch):
    """10 h and 10 h less a fifth: 18 h x 45.00 = 810.00."""
    quote = make_pair(batch_saving=Decimal("0.2"))
    queue_build(make_pattern(), "One", made_on=ON - timedelta(days=9))
    monkeypatch.setattr(queue, "MORE_HOURS", (500,))
    monkeypatch.setattr(queue, "_keeps", lambda *_: True)
    rush = if_yes(quote, ON).rush_price
    assert (rush.hours, rush.amount) == (18, 810)


def test_a_waiting_order_is_held_to_the_day_of_its_last_instrument(workshop):
    sent = issue_quote(quote=make_pair(), on=ON, now=NOW)
    (one,) = waiting_quotes(queue_on(ON))
    further = sent.further.get()
    assert f"{one.offered}" == further.frozen["offer"]["ready_on"]
    assert f"{one.offered}" > sent.frozen["offer"]["ready_on"]
    assert f"{one.forecast.day_80}" > sent.frozen["offer"]["ready_on"]


def test_versions_of_an_order_are_compared_over_all_instruments(workshop):
    """The second has 20 h in the newer version: 10 h x 45.00 = 450.00 more."""
    sent = issue_quote(quote=make_pair(), on=ON, now=NOW)
    draft = revise_quote(quote=sent, on=ON)
    second = draft.further.get()
    edit_rows(quote=second, stages={second.stages.get().pk: {"hours": Decimal(20)}})
    edit_quote(quote=second, specification="Pear throughout")
    sides = side_by_side(Quote.objects.get(pk=sent.pk), Quote.objects.get(pk=draft.pk), ON)
    assert sides.net_more == 450
    (further,) = sides.differences
    (pear,) = further.parts
    assert (pear.name, pear.before, pear.after) == ("Fiddle in pear", 575, 1025)
    assert [line.text for line in sides.words if line.mark == "after"] == ["Pear throughout"]


def test_a_change_stands_under_its_instrument_wherever_it_is_read(workshop):
    sent = issue_quote(quote=make_pair(), on=ON, now=NOW)
    order = accept_quote(quote=sent, on=ON, now=NOW).quote
    second = order.further.get()
    change = offer_change(quote=second, title="Inlay", price=Decimal(120), on=ON)
    record_change_decision(change=change, agreed=True, now=NOW)
    told = [[step.title for step in specification_steps(one)] for one in (order, second)]
    assert told[0] == told[1]
    assert told[0][1] == f"Fiddle in pear. Change order {change.number}: Inlay"
    assert "Fiddle in pear" in specification_steps(second)[0].words
    assert [row.change for row in quote_page(order.pk, ON).changes] == [change]


def test_hours_are_not_saved_twice(workshop):
    second = make_pair(batch_saving=Decimal("0.2")).further.get()
    with pytest.raises(Refusal, match="would save them twice"):
        take_hours(quote=second, on=ON, level="80", batch=2)


def test_what_the_order_has_in_common_is_named_as_on_its_form(workshop):
    second = make_pair().further.get()
    says = "^“Prices entered with tax” is set for the whole order. Edit it at Fiddle in plum.$"
    with pytest.raises(Refusal, match=says):
        edit_quote(quote=second, prices_with_tax=True)


def test_a_further_instrument_has_no_payment_plan_of_its_own(desk):
    quote = make_pair()
    plans = [
        desk.get(f"/api/v1/quotes/{one.pk}/price/").json()["parts"] for one in quote.instruments
    ]
    assert (len(plans[0]), plans[1]) == (3, [])


def test_the_page_asks_no_more_for_four_instruments_than_for_two(workshop):
    quote = make_pair()
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            quote_page(quote.pk, ON)
        counts.append(len(asked))
        for title in ("Fiddle in ash", "Fiddle in elm"):
            add_instrument(quote=quote, on=ON, is_same=True, title=title)
    assert counts[0] == counts[1]
