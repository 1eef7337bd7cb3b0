"""Drawing, bringing back and scrapping for a build, and what its lines then say."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, PieceState, StockEntry
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.shelf.services.moves import scrap_stock
from shop.builds.queries.needs import needs_of
from shop.builds.services.end import cancel_build
from shop.builds.services.stock import (
    draw_for_build,
    reserve_for_build,
    return_from_build,
    scrap_for_build,
)
from shop.models import BuildDraw
from tests.factories import make_material
from tests.shop.factories import NOW, TODAY, make_build, planned_line, planned_stage

pytestmark = pytest.mark.django_db


def stocked(name, kept_as, quantity, price, **fields):
    material = make_material(name, kept_as, **fields)
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(price))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return material


@pytest.fixture
def spruce(workshop):
    return stocked("Spruce top", KeptAs.PIECE, 2, "64.00")


@pytest.fixture
def binding(workshop):
    return stocked("Binding", KeptAs.LENGTH, 10_000, "40.00", unit="m")


def need_of(build):
    [need] = needs_of([build])
    return need


def test_a_draw_uses_up_the_promise_and_counts_for_its_line(binding):
    build = make_build(lines=[planned_line(binding, "3400", to_draw=Decimal(3910))])
    reserve_for_build(build=build, now=NOW)
    [draw] = draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(3000), now=NOW)
    need = need_of(build)
    assert (draw.stage, draw.entry.holder) == (None, build.holder)
    assert (need.used, need.used_cost, need.promised, need.short) == (3000, 12, 910, 0)


@pytest.mark.parametrize("is_free", [True, False], ids=["one is free", "none is free"])
def test_a_line_leaves_pieces_put_aside_for_other_lines_to_the_last(workshop, is_free):
    spruce = stocked("Spruce set", KeptAs.PIECE, 3 if is_free else 2, "64.00")
    build = make_build(lines=[planned_line(spruce, "1"), planned_line(spruce, "1")])
    reserve_for_build(build=build, now=NOW)
    first, second = needs_of([build])
    [own], [other] = first.pieces, second.pieces
    draws = draw_for_build(build=build, line=first.line, quantity=Decimal(2), now=NOW)
    drawn = [draw.entry.lot for draw in draws]
    assert drawn[0] == own
    assert (other in drawn) is not is_free


def test_nothing_is_drawn_for_a_cancelled_build(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    cancel_build(build=build, now=NOW)
    with pytest.raises(Refusal, match="is cancelled; nothing can be drawn for it"):
        draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1), now=NOW)
    assert not BuildDraw.objects.exists()


def test_more_than_was_promised_may_be_drawn(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    reserve_for_build(build=build, now=NOW)
    draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1400), now=NOW)
    need = need_of(build)
    assert (need.used, need.promised, need.still_needed) == (1400, 0, 0)


def test_what_the_books_lack_is_drawn_all_the_same(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(10_500), now=NOW)
    assert need_of(build).used == 10_500
    assert StockEntry.objects.filter(to_reconcile=True).get().quantity == -500


def test_a_substitute_counts_for_the_line_it_stands_in_for(binding, workshop):
    maple = stocked("Maple binding", KeptAs.LENGTH, 5000, "30.00")
    build = make_build(lines=[planned_line(binding, "1000")])
    [draw] = draw_for_build(
        build=build, line=build.lines.get(), material=maple, quantity=Decimal(1000), now=NOW
    )
    assert draw.entry.material == maple
    assert need_of(build).used_cost == 6


def test_a_draw_beyond_all_lines_belongs_to_the_build_alone(binding):
    build = make_build(lines=[])
    [draw] = draw_for_build(build=build, material=binding, quantity=Decimal(200), now=NOW)
    assert (draw.build, draw.line) == (build, None)


def test_the_promised_piece_is_drawn_before_older_ones(spruce):
    newest = spruce.lots.last()
    build = make_build(lines=[planned_line(spruce)])
    reserve_for_build(build=build, chosen={1: [newest]}, now=NOW)
    [draw] = draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1), now=NOW)
    assert (draw.entry.lot, draw.entry.to_reconcile) == (newest, False)


def test_pieces_of_others_are_drawn_last_of_all(spruce):
    oldest, newest = spruce.lots.all()
    other = make_build(lines=[planned_line(spruce)])
    reserve_for_build(build=other, chosen={1: [oldest]}, now=NOW)
    build = make_build(lines=[])
    first, second = draw_for_build(build=build, material=spruce, quantity=Decimal(2), now=NOW)
    assert (first.entry.lot, first.entry.to_reconcile) == (newest, False)
    assert (second.entry.lot, second.entry.to_reconcile) == (oldest, True)


def test_nothing_is_drawn_that_has_no_name(workshop):
    build = make_build()
    with pytest.raises(Refusal, match="Choose a material"):
        draw_for_build(build=build, quantity=Decimal(1), now=NOW)


def test_what_comes_back_no_longer_counts(binding):
    build = make_build(lines=[planned_line(binding, "3000")])
    [draw] = draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(3000), now=NOW)
    return_from_build(draw=draw, quantity=Decimal(500), now=NOW)
    need = need_of(build)
    assert (need.used, need.used_cost, need.short) == (2500, 10, 500)
    with pytest.raises(Refusal, match="still out"):
        return_from_build(draw=draw, quantity=Decimal(2501), now=NOW)


def test_a_cracked_top_is_scrapped_at_its_own_cost_and_needed_again(spruce):
    build = make_build(lines=[planned_line(spruce)], stages=[planned_stage("Carve top")])
    reserve_for_build(build=build, now=NOW)
    [draw] = draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1), now=NOW)
    [scrap] = scrap_for_build(
        build=build, draw=draw, quantity=Decimal(1), why="cracked in carving", now=NOW
    )
    need = need_of(build)
    assert (need.used, need.scrapped, need.scrapped_cost, need.short) == (0, 1, 32, 1)
    assert scrap.entry.lot == draw.entry.lot
    assert scrap.entry.lot.piece.state == PieceState.REJECTED
    spruce.refresh_from_db()
    assert (spruce.on_hand, spruce.book_cost) == (1, 32)


def test_scrap_straight_from_the_shelf_goes_to_the_build(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    scrap_for_build(
        build=build,
        line=build.lines.get(),
        quantity=Decimal(300),
        why="snapped in bending",
        now=NOW,
    )
    need = need_of(build)
    assert (need.used, need.scrapped, need.scrapped_cost) == (0, 300, Decimal("1.20"))


def test_scrap_needs_a_reason(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    [draw] = draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1000), now=NOW)
    with pytest.raises(Refusal, match="Enter the reason"):
        scrap_for_build(build=build, draw=draw, quantity=Decimal(5), why=" ", now=NOW)
    assert BuildDraw.objects.count() == 1
    assert need_of(build).used == 1000


@pytest.mark.parametrize("builds", [1, 25])
def test_needs_take_as_many_queries_for_many_builds(binding, builds, django_assert_num_queries):
    made = [make_build(lines=[planned_line(binding, "10")]) for _ in range(builds)]
    for build in made:
        draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(5), now=NOW)
        reserve_for_build(build=build, now=NOW)
    with django_assert_num_queries(7):  # none of these lines has a family
        assert len(needs_of(made)) == builds


def test_a_build_whose_wood_was_taken_says_so_and_is_put_aside_for_anew(spruce):
    build = make_build(lines=[planned_line(spruce, "1")])
    reserve_for_build(build=build, now=NOW)
    [promised] = need_of(build).pieces
    scrap_stock(material=spruce, quantity=Decimal(1), lot=promised, why="dropped", now=NOW)
    need = need_of(build)
    assert (need.promised, need.lacking, need.lost, need.short) == (0, 1, [promised], 1)
    assert not reserve_for_build(build=build, now=NOW)
    need = need_of(build)
    assert (need.promised, need.lacking, need.lost) == (1, 0, [])
    spruce.refresh_from_db()
    assert (spruce.on_hand, spruce.promised) == (1, 1)


def test_a_length_taken_for_something_else_is_lacking_to_the_build_promised_last(binding):
    first = make_build(lines=[planned_line(binding, "4000")])
    last = make_build(lines=[planned_line(binding, "5000")])
    for build in (first, last):
        reserve_for_build(build=build, now=NOW)
    scrap_stock(material=binding, quantity=Decimal(3000), why="kinked", now=NOW)
    assert (need_of(first).promised, need_of(first).lacking) == (4000, 0)
    assert (need_of(last).promised, need_of(last).lacking, need_of(last).short) == (
        3000,
        2000,
        2000,
    )
