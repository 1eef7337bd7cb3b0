import pytest

from inventory.cutting.calc.packing import (
    Packing,
    least_price,
    maximal_patterns,
    next_price,
    rooms_that_cost,
)


def task(sizes, demand, rooms):
    return Packing(sizes=sizes, demand=demand, rooms=rooms, prices=rooms)


def test_patterns_are_those_to_which_nothing_can_be_added():
    # Boards of 17 ft into 9, 5 and 3 ft: six ways, as the textbook's own table has it.
    ways = maximal_patterns(task((9, 5, 3), (15, 20, 25), (17,)), 17)
    assert sorted(ways) == [(0, 0, 5), (0, 1, 4), (0, 2, 2), (0, 3, 0), (1, 0, 2), (1, 1, 1)]


def test_no_pattern_holds_more_than_is_wanted():
    assert maximal_patterns(task((5, 3), (1, 2), (100,)), 100) == [(1, 2)]


def test_too_many_patterns_are_none():
    sizes = tuple(range(40, 20, -1))
    assert maximal_patterns(task(sizes, (9,) * 20, (400,)), 400) is None


@pytest.mark.parametrize(
    ("bound", "price"), [(1, 1800), (1801, 2400), (2401, 3600), (4201, 4800), (9000, 9000)]
)
def test_a_bound_is_raised_to_a_sum_of_prices(bound, price):
    assert next_price(task((1,), (1,), (2400, 2400, 1800, 1800)), bound) == price


@pytest.mark.parametrize(
    ("price", "rooms"), [(4200, [2, 0]), (1800, [2]), (8400, [3, 2, 1, 0]), (4000, []), (9000, [])]
)
def test_rooms_are_found_for_a_price(price, rooms):
    assert rooms_that_cost(task((1,), (1,), (2400, 2400, 1800, 1800)), price) == rooms


def test_prices_too_fine_to_add_up_leave_the_bound():
    assert next_price(task((1,), (1,), (2_000_003, 1_000_003)), 5) == 5


def test_the_room_needed_gives_a_price_from_below():
    assert least_price(task((600,), (9,), (2400,) * 5)) == 7200
