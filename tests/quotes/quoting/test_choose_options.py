"""Choosing options: a new version at frozen prices, with the same rows and the same pieces."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.models import Material, Promise
from quotes.models import PricingPolicy, Quote
from quotes.pricing.queries.choices import frozen_choices
from quotes.pricing.queries.offer import offer_of
from quotes.quoting.queries.quote_page import quote_page
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import choose_options
from quotes.quoting.services.holds import hold_stock
from quotes.risk.queries import RiskAsked, risk_sheet
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def quote(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_offered_quote()


def price_of(quote, name):
    return next(choice.net for choice in frozen_choices(quote) if choice.name == name)


def test_the_options_as_sent_need_no_new_version(quote):
    assert choose_options(quote=quote, wanted=["Binding"], on=TODAY) == quote
    assert Quote.objects.count() == 1


def test_another_choice_is_the_next_version_and_replaces_the_old(quote):
    new = choose_options(quote=quote, wanted=["Scroll and points", "Binding"], on=TODAY)
    quote.refresh_from_db()
    assert (new.number, new.version, new.state) == (quote.number, 2, Quote.State.ISSUED)
    assert quote.state == Quote.State.REPLACED
    assert new.valid_until == quote.valid_until
    before, after = offer_of(quote, on=TODAY), offer_of(new, on=TODAY)
    scroll = price_of(quote, "Scroll and points")
    assert after.document.net == before.document.net + scroll
    assert new.gross == after.document.gross
    assert new.document_sha256 != quote.document_sha256
    assert [stage.name for stage in after.stages] == ["Carve", "Carve scroll"]


def test_prices_stay_those_of_the_day_of_issue(quote):
    expected = price_of(quote, "Scroll and points")
    Material.objects.update(replacement_price=Decimal(999))
    PricingPolicy.objects.update(shop_rate=Decimal(99), material_markup=Decimal(2))
    new = choose_options(quote=quote, wanted=["Scroll and points"], on=TODAY)
    dropped = price_of(quote, "Binding")
    net = offer_of(quote, on=TODAY).document.net
    assert offer_of(new, on=TODAY).document.net == net + expected + dropped
    assert new.shop_rate == Decimal("41.37")


def test_every_figure_belongs_to_a_row_of_the_new_version(quote):
    new = choose_options(quote=quote, wanted=["Scroll and points", "Binding"], on=TODAY)
    offer = offer_of(new, on=TODAY)
    assert {row.key for row in offer.stages} == {f"stage:{row.pk}" for row in new.stages.all()}
    assert {row.key for row in offer.materials} == {
        f"material:{row.pk}" for row in new.materials.all()
    }
    assert offer.sheet.find(f"stage:{new.stages.get(name='Carve').pk}")


def test_what_was_held_is_held_for_the_new_version_and_comes_to_its_build(quote):
    hold_stock(quote=quote, until=TODAY, on=TODAY, now=NOW)
    held = Promise.objects.get(outstanding__gt=0)
    new = choose_options(quote=quote, wanted=[], on=TODAY)
    promise = Promise.objects.get(outstanding__gt=0)
    assert (promise.lot, promise.holder) == (held.lot, new.holder)
    assert new.held_until == TODAY
    build = accept_quote(quote=new, on=TODAY, now=NOW).build
    assert Promise.objects.get(outstanding__gt=0).lot == held.lot
    assert Promise.objects.get(outstanding__gt=0).holder == build.holder


def test_the_build_has_the_stages_and_lines_of_the_options_chosen(quote):
    new = choose_options(quote=quote, wanted=["Scroll and points"], on=TODAY)
    build = accept_quote(quote=new, on=TODAY, now=NOW).build
    assert [stage.name for stage in build.stages.all()] == ["Carve", "Carve scroll"]
    assert [line.name for line in build.lines.all()] == ["top"]


def test_a_stage_of_an_option_stands_in_the_build_where_it_stands_in_the_quote(quote):
    quote.stages.filter(name="Carve").update(position=9999)
    new = choose_options(quote=quote, wanted=["Scroll and points", "Binding"], on=TODAY)
    build = accept_quote(quote=new, on=TODAY, now=NOW).build
    assert [stage.name for stage in build.stages.all()] == ["Carve scroll", "Carve"]
    assert [line.name for line in build.lines.all()] == ["top", "binding"]


def test_what_was_not_offered_is_refused(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    quote = make_offered_quote(offered=["Binding"])
    with pytest.raises(Refusal, match="not one of the options offered"):
        choose_options(quote=quote, wanted=["Scroll and points"], on=TODAY)
    assert Quote.objects.count() == 1


def test_the_price_of_the_instrument_and_an_hour_s_share_have_the_options_in_them(quote):
    new = choose_options(quote=quote, wanted=["Scroll and points", "Binding"], on=TODAY)
    before, after = offer_of(quote, on=TODAY), offer_of(new, on=TODAY)
    scroll = price_of(quote, "Scroll and points")
    assert after.sheet.price == before.sheet.price + scroll
    assert after.bought == before.bought
    page = quote_page(new.pk, TODAY)
    assert page.hourly == (after.sheet.price - after.bought) / (Decimal("17.25") + 40)
    risk = risk_sheet(new, RiskAsked(), on=TODAY)
    assert risk.quoted == after.sheet.price
