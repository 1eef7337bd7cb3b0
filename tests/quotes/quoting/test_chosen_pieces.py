"""Which piece a quote holds and its build gets, also where it stands in for what was planned."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.refusals import PieceNotFree
from inventory.models import KeptAs, Material, Promise
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.moves import scrap_stock
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.holds import choose_piece, hold_stock
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows
from tests.factories import make_material
from tests.quotes.factories import make_quote
from tests.shop.factories import NOW, TODAY
from tests.shop.shelf_pieces import line_for, make_tops, receive_tops

pytestmark = pytest.mark.django_db
UNTIL = TODAY + timedelta(14)


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def cedar(workshop):
    material = make_material("Cedar top", KeptAs.PIECE)
    receive_tops(material, date(2026, 3, 1), "90.00", 430, 431)
    return material


@pytest.fixture
def quote(tops):
    return make_quote(template=line_for(tops).template, on=TODAY)


def hold(quote, lot=None, until=UNTIL):
    chosen = {quote.materials.get().pk: lot} if lot else {}
    return hold_stock(quote=quote, until=until, on=TODAY, now=NOW, chosen=chosen)


def sent(quote):
    return issue_quote(quote=quote, on=TODAY, now=NOW)


def held(holder):
    return [one.lot for one in Promise.objects.filter(holder=holder, outstanding__gt=0)]


def test_a_piece_under_another_name_is_held_for_a_quote_and_put_aside_for_its_build(quote, cedar):
    lot = cedar.lots.first()
    choose_piece(row=quote.materials.get(), lot=lot, on=TODAY, now=NOW)
    assert hold(quote) == []
    assert held(quote.holder) == [lot]
    accepted = accept_quote(quote=sent(quote), on=TODAY, now=NOW)
    assert (accepted.shortages, held(accepted.build.holder)) == ((), [lot])
    assert held(quote.holder) == []


def test_what_is_held_under_another_name_is_promised_once(quote, cedar):
    lot = cedar.lots.first()
    hold(quote, lot)
    with pytest.raises(PieceNotFree, match="is reserved for quote"):
        reserve_stock(
            material=cedar, quantity=Decimal(1), lot=lot, holder="build:9", holder_name="9", now=NOW
        )
    assert Material.objects.get(pk=cedar.pk).free == 1


def test_a_hold_takes_over_a_piece_that_is_chosen_later(quote, tops, cedar):
    hold(quote)
    lot = cedar.lots.last()
    choose_piece(row=quote.materials.get(), lot=lot, on=TODAY, now=NOW)
    assert held(quote.holder) == [lot]
    choose_piece(row=quote.materials.get(), lot=None, on=TODAY, now=NOW)
    assert held(quote.holder) == [tops.lots.first()]


def test_choosing_for_a_quote_that_holds_nothing_promises_nothing(quote, cedar):
    choose_piece(row=quote.materials.get(), lot=cedar.lots.first(), on=TODAY, now=NOW)
    assert not Promise.objects.exists()


def test_a_piece_of_somebody_else_can_not_be_chosen_for_a_quote_on_hold(quote, cedar):
    hold(quote)
    before, lot = held(quote.holder), cedar.lots.first()
    reserve_stock(
        material=cedar, quantity=Decimal(1), lot=lot, holder="build:9", holder_name="9", now=NOW
    )
    with pytest.raises(PieceNotFree):
        choose_piece(row=quote.materials.get(), lot=lot, on=TODAY, now=NOW)
    assert (held(quote.holder), quote.materials.get().lot) == (before, None)


def test_a_longer_hold_keeps_its_piece(quote, tops, cedar):
    lot = cedar.lots.first()
    hold(quote, lot)
    hold(quote, until=UNTIL + timedelta(7))
    assert held(quote.holder) == [lot]


def test_once_sent_what_is_held_is_the_later_word(quote, tops, cedar):
    _, _, dear = tops.lots.order_by("pk")
    choose_piece(row=quote.materials.get(), lot=dear, on=TODAY, now=NOW)
    issued = sent(quote)
    hold(issued, cedar.lots.first())
    assert issued.materials.get().lot == dear
    build = accept_quote(quote=issued, on=TODAY, now=NOW).build
    assert held(build.holder) == [cedar.lots.first()]


def test_a_piece_named_after_the_hold_is_the_later_word_while_it_is_a_draft(quote, tops, cedar):
    hold(quote)
    lot = cedar.lots.first()
    edit_rows(quote=quote, materials={quote.materials.get().pk: {"lot": lot}})
    issued = sent(quote)
    assert held(quote.holder) == []
    assert held(accept_quote(quote=issued, on=TODAY, now=NOW).build.holder) == [lot]


def test_the_yes_may_leave_a_chosen_piece_for_the_best_one(quote, tops):
    choose_piece(row=quote.materials.get(), lot=tops.lots.order_by("pk")[2], on=TODAY, now=NOW)
    chosen = {quote.materials.get().pk: None}
    build = accept_quote(quote=sent(quote), on=TODAY, now=NOW, chosen=chosen).build
    assert held(build.holder) == [tops.lots.first()]


def test_a_hold_that_lost_its_piece_is_made_anew_with_the_next_best(quote, tops):
    oldest, _, next_best = tops.lots.order_by("pk")
    issued = sent(quote)
    hold(issued)
    scrap_stock(material=tops, quantity=Decimal(1), lot=oldest, why="a crack", now=NOW)
    assert hold(issued) == []
    assert held(quote.holder) == [next_best]


def test_a_yes_to_a_quote_that_lost_what_it_held_is_refused(quote, tops):
    issued, lost = sent(quote), tops.lots.first()
    hold(issued)
    scrap_stock(material=tops, quantity=Decimal(1), lot=lost, why="a crack", now=NOW)
    with pytest.raises(PieceNotFree, match=f"{lost.number} is rejected"):
        accept_quote(quote=issued, on=TODAY, now=NOW)


def test_only_a_piece_is_chosen_for_a_piece(quote, workshop):
    nuts = make_material("Nuts")
    receive_tops(nuts, TODAY, "3.00", 3)
    with pytest.raises(Refusal, match="Nuts is not kept as pieces"):
        choose_piece(row=quote.materials.get(), lot=nuts.lots.get(), on=TODAY, now=NOW)


def test_a_chosen_piece_is_not_left_behind_by_a_change_of_material(quote, tops, cedar):
    row, lot = quote.materials.get(), tops.lots.first()
    choose_piece(row=row, lot=lot, on=TODAY, now=NOW)
    with pytest.raises(Refusal, match=f"{lot.number} is chosen for Top, and is Spruce top"):
        edit_rows(quote=quote, materials={row.pk: {"material": cedar}})
    edit_rows(quote=quote, materials={row.pk: {"material": cedar, "lot": None}})
    assert quote.materials.get().material == cedar


def test_other_figures_of_a_row_change_beside_a_piece_under_another_name(quote, tops, cedar):
    row, lot = quote.materials.get(), cedar.lots.first()
    choose_piece(row=row, lot=lot, on=TODAY, now=NOW)
    fields = {"material": tops, "lot": lot, "cost_override": Decimal(120)}
    edit_rows(quote=quote, materials={row.pk: fields})
    assert (quote.materials.get().lot, quote.materials.get().cost_override) == (lot, 120)
