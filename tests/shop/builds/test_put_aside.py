from datetime import date
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.refusals import PieceNotFree
from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Material, Promise
from inventory.purchasing.queries.buying import wanted_by_material, what_to_buy
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.reservations.services import release_reservation, reserve_stock
from inventory.shelf.services.moves import scrap_stock
from inventory.shelf.services.rack import judge_piece
from shop.builds.queries.needs import lines_unnamed, needs_of
from shop.builds.services.end import cancel_build
from shop.builds.services.stock import draw_for_build, reserve_for_build, return_from_build
from tests.factories import make_material, make_supplier
from tests.shop.factories import NOW, TODAY, make_build, planned_line

pytestmark = pytest.mark.django_db


@pytest.fixture
def spruce(workshop):
    material = make_material("Spruce top", KeptAs.PIECE, supplier=make_supplier(lead_time_days=21))
    sets = [
        PieceFacts(parts=2, is_ready=False),
        PieceFacts(parts=2, is_ready=True),
        PieceFacts(parts=2, is_ready=True),
    ]
    receive(material, 3, "96.00", pieces=sets)
    return material


@pytest.fixture
def fretwire(workshop):
    material = make_material("Fretwire, medium", KeptAs.LENGTH, unit="m", lead_time_days=7)
    receive(material, 1500, "8.40")
    return material


def receive(material, quantity, price, **fields):
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(price), **fields)
    return receive_delivery(received_on=TODAY, lines=[line], now=NOW)


def lot_of(material, number):
    return material.lots.order_by("pk")[number - 1]


def test_the_oldest_ready_piece_is_put_aside(spruce):
    build = make_build(lines=[planned_line(spruce)])
    assert reserve_for_build(build=build, now=NOW) == ()
    promise = Promise.objects.get()
    assert promise.lot == lot_of(spruce, 2)
    assert (promise.holder, promise.line) == (build.holder, build.lines.get().key)


def test_a_chosen_piece_is_put_aside_instead(spruce):
    build = make_build(lines=[planned_line(spruce)])
    reserve_for_build(build=build, chosen={1: [lot_of(spruce, 1)]}, now=NOW)
    assert Promise.objects.get().lot == lot_of(spruce, 1)


def test_a_chosen_piece_of_somebody_else_refuses_it_all(spruce, fretwire):
    taken = lot_of(spruce, 1)
    reserve_stock(
        material=spruce, quantity=Decimal(1), holder="build:9", holder_name="9", now=NOW, lot=taken
    )
    build = make_build(lines=[planned_line(fretwire, "1050"), planned_line(spruce)])
    with pytest.raises(PieceNotFree):
        reserve_for_build(build=build, chosen={2: [taken]}, now=NOW)
    assert not Promise.objects.filter(holder=build.holder).exists()


def test_as_much_as_is_free_is_put_aside_and_the_rest_is_short(fretwire):
    make_first = make_build(lines=[planned_line(fretwire, "930", to_draw=Decimal("1041.6"))])
    assert reserve_for_build(build=make_first, now=NOW) == ()
    second = make_build(lines=[planned_line(fretwire, "930", to_draw=Decimal("1041.6"))])
    [shortage] = reserve_for_build(build=second, now=NOW)
    assert shortage.missing == Decimal("583.2")
    assert shortage.here_by == date(2027, 3, 16)
    assert sum(p.outstanding for p in Promise.objects.filter(holder=second.holder)) == Decimal(
        "458.4"
    )


def test_what_the_shop_never_named_is_counted_apart_from_what_is_short(workshop):
    material = make_material("Label")
    line = planned_line(material)
    unnamed = type(line)(name="Case", quantity=Decimal(1), to_draw=Decimal(1), planned_cost=90)
    build = make_build(lines=[line, unnamed])
    [shortage] = reserve_for_build(build=build, now=NOW)
    assert (shortage.line.name, lines_unnamed(build)) == (line.name, 1)


def test_asking_again_promises_only_what_is_still_short(fretwire):
    build = make_build(lines=[planned_line(fretwire, "2000")])
    reserve_for_build(build=build, now=NOW)
    receive(fretwire, 1000, "6.00")
    assert reserve_for_build(build=build, now=NOW) == ()
    assert sum(p.outstanding for p in Promise.objects.all()) == 2000


def test_what_was_drawn_is_not_put_aside_again(fretwire):
    build = make_build(lines=[planned_line(fretwire, "1000")])
    reserve_for_build(build=build, now=NOW)
    draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1000), now=NOW)
    assert reserve_for_build(build=build, now=NOW) == ()
    assert not Promise.objects.filter(outstanding__gt=0).exists()


def test_cancelling_frees_everything(spruce, fretwire):
    build = make_build(lines=[planned_line(spruce), planned_line(fretwire, "900")])
    reserve_for_build(build=build, now=NOW)
    cancel_build(build=build, why="The client wants a violin.", now=NOW)
    spruce.refresh_from_db()
    fretwire.refresh_from_db()
    assert (spruce.free, fretwire.free) == (3, 1500)
    assert build.notes.get().text == "Cancelled. The client wants a violin."


@pytest.fixture
def cedar(workshop):
    material = make_material("Cedar top", KeptAs.PIECE)
    receive(material, 2, "90.00", pieces=[PieceFacts(parts=2, is_ready=True)] * 2)
    return material


def open_promises(build):
    rows = Promise.objects.filter(holder=build.holder, outstanding__gt=0).order_by("pk")
    return [promise.lot for promise in rows]


def test_a_piece_under_another_name_is_promised_as_strictly_as_any(spruce, cedar):
    lot = lot_of(cedar, 1)
    build, rival = (make_build(lines=[planned_line(spruce)]) for _ in range(2))
    assert reserve_for_build(build=build, chosen={1: [lot]}, now=NOW) == ()
    cedar.refresh_from_db()
    assert (cedar.promised, cedar.free) == (1, 1)
    assert Promise.objects.get().line == build.lines.get().key
    with pytest.raises(PieceNotFree, match=f"{lot.number} is reserved for {build}"):
        reserve_for_build(build=rival, chosen={1: [lot]}, now=NOW)
    assert open_promises(rival) == []


def test_what_stands_in_takes_the_place_of_what_was_put_aside_before(spruce, cedar):
    build = make_build(lines=[planned_line(spruce)])
    reserve_for_build(build=build, now=NOW)
    reserve_for_build(build=build, chosen={1: [lot_of(cedar, 1)]}, now=NOW)
    assert open_promises(build) == [lot_of(cedar, 1)]
    reserve_for_build(build=build, chosen={1: [lot_of(cedar, 1)]}, now=NOW)
    reserve_for_build(build=build, now=NOW)
    assert open_promises(build) == [lot_of(cedar, 1)]
    reserve_for_build(build=build, chosen={1: [lot_of(spruce, 3)]}, now=NOW)
    assert open_promises(build) == [lot_of(spruce, 3)]
    assert [Material.objects.get(pk=one.pk).promised for one in (spruce, cedar)] == [1, 0]


def test_of_several_pieces_the_last_put_aside_makes_room(spruce, cedar):
    build = make_build(lines=[planned_line(spruce, 2)])
    reserve_for_build(build=build, now=NOW)
    first, last = open_promises(build)
    reserve_for_build(build=build, chosen={1: [lot_of(cedar, 2)]}, now=NOW)
    assert open_promises(build) == [first, lot_of(cedar, 2)]
    assert not last.promises.filter(outstanding__gt=0).exists()


def test_more_pieces_than_the_line_takes_are_refused_as_a_whole(spruce, cedar):
    build = make_build(lines=[planned_line(spruce)])
    with pytest.raises(Refusal, match="still needs 1, but 2 pieces were chosen"):
        reserve_for_build(build=build, chosen={1: [lot_of(cedar, 1), lot_of(spruce, 1)]}, now=NOW)
    assert open_promises(build) == []


def test_only_a_piece_stands_in_for_a_piece(spruce, fretwire):
    build = make_build(lines=[planned_line(spruce), planned_line(fretwire, "100")])
    coil = lot_of(fretwire, 1)
    with pytest.raises(Refusal, match="Fretwire, medium is not kept as pieces"):
        reserve_for_build(build=build, chosen={1: [coil]}, now=NOW)
    with pytest.raises(Refusal, match="Fretwire, medium is not kept as pieces"):
        reserve_for_build(build=build, chosen={2: [lot_of(spruce, 1)]}, now=NOW)


def test_what_to_buy_asks_for_what_stands_in_and_no_more_for_what_was_planned(spruce, cedar):
    build = make_build(lines=[planned_line(spruce, 4), planned_line(cedar, 2)])
    reserve_for_build(build=build, now=NOW)
    assert {buy.material.name: buy.short for buy in what_to_buy()} == {"Spruce top": 1}

    own = make_build(lines=[planned_line(spruce, 4)])
    reserve_for_build(build=own, now=NOW)
    cancel_build(build=build, why="moved", now=NOW)
    reserve_for_build(build=own, chosen={1: [lot_of(cedar, 1)]}, now=NOW)
    assert what_to_buy() == []

    promise = Promise.objects.get(lot=lot_of(cedar, 1), outstanding__gt=0)
    release_reservation(promise=promise, now=NOW)
    assert {buy.material.name: buy.short for buy in what_to_buy()} == {"Spruce top": 1}


def test_what_to_buy_follows_a_draw_of_what_stands_in_and_its_return(spruce, cedar):
    sell_all(spruce)
    build = make_build(lines=[planned_line(spruce)])
    line = build.lines.get()
    reserve_for_build(build=build, now=NOW)
    assert {buy.material.name: buy.short for buy in what_to_buy()} == {"Spruce top": 1}

    [draw] = draw_for_build(build=build, line=line, material=cedar, quantity=Decimal(1), now=NOW)
    assert what_to_buy() == []
    return_from_build(draw=draw, quantity=Decimal(1), now=NOW)
    assert {buy.material.name: buy.short for buy in what_to_buy()} == {"Spruce top": 1}


def test_a_draw_for_the_line_takes_what_stands_in(spruce, cedar):
    build = make_build(lines=[planned_line(spruce, 2)])
    line, lot = build.lines.get(), lot_of(cedar, 2)
    reserve_for_build(build=build, chosen={1: [lot]}, now=NOW)
    draws = draw_for_build(build=build, line=line, quantity=Decimal(2), now=NOW)
    assert [draw.entry.lot.material for draw in draws] == [cedar, spruce]
    assert draws[0].entry.lot == lot
    assert open_promises(build) == []
    with pytest.raises(Refusal, match="needs no more pieces: all are drawn"):
        reserve_for_build(build=build, chosen={1: [lot_of(cedar, 1)]}, now=NOW)
    [need] = needs_of([build])
    assert (need.used, need.short, need.in_other_units) == (2, 0, False)


def test_a_piece_that_is_put_aside_for_a_line_is_drawn_on_it_unasked(spruce, cedar):
    build = make_build(lines=[planned_line(spruce)])
    lot = lot_of(cedar, 1)
    reserve_for_build(build=build, chosen={1: [lot]}, now=NOW)
    [draw] = draw_for_build(build=build, lot=lot, quantity=Decimal(1), now=NOW)
    assert draw.line == build.lines.get()
    [stray] = draw_for_build(build=build, lot=lot_of(cedar, 2), quantity=Decimal(1), now=NOW)
    assert stray.line is None


def test_a_stand_in_that_was_lost_leaves_the_line_short_of_what_was_planned(spruce, cedar):
    build = make_build(lines=[planned_line(spruce)])
    lot = lot_of(cedar, 1)
    reserve_for_build(build=build, chosen={1: [lot]}, now=NOW)
    scrap_stock(material=cedar, quantity=Decimal(1), lot=lot, why="a crack", now=NOW)
    [need] = needs_of([build])
    assert (need.lost, need.short) == ([lot], 1)
    assert {key: one[0].quantity for key, one in wanted_by_material().items()} == {spruce.pk: 1}
    reserve_for_build(build=build, now=NOW)
    assert open_promises(build) == [lot_of(spruce, 2)]


def sell_all(material):
    for lot in material.lots.all():
        scrap_stock(material=material, quantity=Decimal(1), lot=lot, why="woodworm", now=NOW)


def test_another_build_reserves_the_last_fit_piece_beside_a_rejected_reserved_one(spruce):
    first, second = (make_build(lines=[planned_line(spruce)]) for _ in range(2))
    lots = [lot_of(spruce, number) for number in (1, 2, 3)]
    reserve_for_build(build=first, chosen={1: [lots[0]]}, now=NOW)
    reserve_for_build(build=make_build(lines=[planned_line(spruce)]), now=NOW)
    judge_piece(lot=lots[0], verdict="rejected", why="worm", now=NOW)
    reserve_for_build(build=second, chosen={1: [lots[2]]}, now=NOW)
    assert open_promises(second) == [lots[2]]
    [need] = needs_of([first])
    assert (need.lost, need.short) == ([lots[0]], 1)
