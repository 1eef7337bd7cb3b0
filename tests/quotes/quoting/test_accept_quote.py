"""Acceptance: one build, its stock put aside, once."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.refusals import PieceNotFree
from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot, Material, Promise
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.reservations.services import reserve_stock
from quotes.cancelling.services import cancel_commission
from quotes.models import Commission, Quote
from quotes.quoting.services.decide import accept_quote, decline_quote, expire_quotes
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.holds import hold_stock, release_hold
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows
from shop.models import Build
from tests.factories import NOW, TODAY, make_material
from tests.quotes.factories import make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage


@pytest.fixture
def spruce(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    top = make_material("spruce set", kept_as="piece", replacement_price=Decimal(40))
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=top, quantity=Decimal(2), price=Decimal(70))],
        now=NOW,
    )
    return top


@pytest.fixture
def wire(workshop):
    wire = make_material("fretwire", kept_as="length", unit="m", replacement_price=Decimal(5))
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=wire, quantity=Decimal(1000), price=Decimal(5))],
        now=NOW,
    )
    return wire


@pytest.fixture
def template(spruce, wire):
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_line(template, "top", material=spruce)
    make_template_line(
        template,
        "frets",
        material=wire,
        quantity=Decimal("1.05"),
        unit="m",
        waste_rule="percent",
        waste_rate=Decimal("0.12"),
    )
    return template


def issued(template, commission=None):
    quote = make_quote(commission or make_commission(), template, on=TODAY)
    return issue_quote(quote=quote, on=TODAY, now=NOW)


def free(material):
    return Material.objects.get(pk=material.pk).free


def test_a_build_is_entered_and_its_stock_put_aside(template, spruce, wire):
    accepted = accept_quote(quote=issued(template), on=TODAY, now=NOW, by="Osric Pondweed")
    build = accepted.build
    assert [stage.hours_planned for stage in build.stages.all()] == [Decimal(4)]
    assert [(line.name, line.to_draw, line.planned_cost) for line in build.lines.all()] == [
        ("top", Decimal(1), Decimal("40.00")),
        ("frets", Decimal(1176), Decimal("5.88")),
    ]
    assert free(spruce) == 1
    assert Commission.objects.get().state == Commission.State.ACCEPTED


def test_what_the_shelf_lacks_is_listed(template, wire):
    (short,) = accept_quote(quote=issued(template), on=TODAY, now=NOW).shortages
    assert (short.line.name, short.missing) == ("frets", Decimal(176))
    assert free(wire) == 0


def test_it_is_accepted_once(template):
    quote = issued(template)
    accept_quote(quote=quote, on=TODAY, now=NOW)
    with pytest.raises(Refusal, match="is accepted; only a sent quote can be accepted"):
        accept_quote(quote=quote, on=TODAY, now=NOW)
    assert Build.objects.count() == 1


def test_the_last_day_counts_and_the_day_after_does_not(template):
    quote = issued(template)
    late = quote.valid_until + timedelta(days=1)
    with pytest.raises(Refusal, match="expired on 8 April 2027"):
        accept_quote(quote=quote, on=late, now=NOW)
    assert accept_quote(quote=quote, on=quote.valid_until, now=NOW).build


@pytest.mark.parametrize("act", ["draft", "declined", "replaced"])
def test_what_is_not_open_is_refused(template, act):
    quote = make_quote(template=template, on=TODAY)
    if act != "draft":
        quote = issue_quote(quote=quote, on=TODAY, now=NOW)
    if act == "declined":
        decline_quote(quote=quote, now=NOW, reason="too dear")
    if act == "replaced":
        issue_quote(quote=revise_quote(quote=quote, on=TODAY), on=TODAY, now=NOW)
    with pytest.raises(Refusal, match="only a sent quote"):
        accept_quote(quote=quote, on=TODAY, now=NOW)


def test_a_chosen_piece_that_went_meanwhile_stops_everything(template, spruce):
    quote = make_quote(template=template, on=TODAY)
    lot = Lot.objects.filter(material=spruce).first()
    edit_rows(quote=quote, materials={quote.materials.first().pk: {"lot": lot}})
    quote = issue_quote(quote=quote, on=TODAY, now=NOW)
    reserve_stock(
        material=spruce, quantity=Decimal(1), holder="build:99", holder_name="x", now=NOW, lot=lot
    )
    with pytest.raises(PieceNotFree):
        accept_quote(quote=quote, on=TODAY, now=NOW)
    assert not Build.objects.exists()
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_another_open_quote_of_the_commission_is_replaced(template):
    commission = make_commission()
    first, second = issued(template, commission), issued(template, commission)
    accept_quote(quote=second, on=TODAY, now=NOW)
    assert Quote.objects.get(pk=first.pk).state == Quote.State.REPLACED


def test_a_hold_goes_over_to_the_build_piece_and_all(template, spruce):
    quote = issued(template)
    missing = hold_stock(quote=quote, until=date(2027, 3, 20), on=TODAY, now=NOW)
    assert missing == [("frets", Decimal("176.000"))]
    held = Promise.objects.get(holder=quote.holder, lot__isnull=False).lot
    build = accept_quote(quote=quote, on=TODAY, now=NOW).build
    kept = Promise.objects.get(holder=build.holder, lot__isnull=False)
    assert kept.lot == held
    assert not Promise.objects.filter(holder=quote.holder, outstanding__gt=0).exists()


def test_a_hold_can_be_let_go_before_its_day(template, spruce):
    quote = issued(template)
    hold_stock(quote=quote, until=date(2027, 3, 20), on=TODAY, now=NOW)
    quote = release_hold(quote=quote, now=NOW)
    assert quote.held_until is None
    assert not Promise.objects.filter(holder=quote.holder, outstanding__gt=0).exists()
    with pytest.raises(Refusal, match="No stock is reserved for"):
        release_hold(quote=quote, now=NOW)


def test_a_hold_ends_after_its_last_day(template, spruce):
    quote = issued(template)
    hold_stock(quote=quote, until=date(2027, 3, 20), on=TODAY, now=NOW)
    expire_quotes(on=date(2027, 3, 20), now=NOW)
    assert free(spruce) == 1
    expire_quotes(on=date(2027, 3, 21), now=NOW)
    assert free(spruce) == 2
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_cancelling_the_commission_gives_everything_back(template, spruce, wire):
    accept_quote(quote=issued(template), on=TODAY, now=NOW)
    commission = cancel_commission(commission=Commission.objects.get(), now=NOW, why="moved away")
    assert (free(spruce), free(wire)) == (2, 1000)
    assert commission.state == Commission.State.CANCELLED
    assert Build.objects.get().state == "cancelled"
    with pytest.raises(Refusal, match="cancelled already"):
        cancel_commission(commission=commission, now=NOW)
