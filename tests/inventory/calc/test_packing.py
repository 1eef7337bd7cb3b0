import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.packing import (
    Packing,
    badness,
    filled,
    least_price,
    maximal_patterns,
    missing_from,
    next_price,
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


def test_prices_too_fine_to_add_up_leave_the_bound():
    assert next_price(task((1,), (1,), (2_000_003, 1_000_003)), 5) == 5


def test_the_room_needed_gives_a_price_from_below():
    assert least_price(task((600,), (9,), (2400,) * 5)) == 7200


def test_a_filling_uses_the_room_exactly_where_it_can():
    one = task((500, 400, 300, 200, 100), (1, 1, 1, 1, 1), (1000, 600, 500))
    assert badness(one, filled(one)) == (0, 1500)


@given(
    sizes=st.lists(st.integers(1, 60), min_size=1, max_size=6, unique=True),
    demand=st.lists(st.integers(1, 4), min_size=6, max_size=6),
    rooms=st.lists(st.integers(1, 150), min_size=1, max_size=5),
)
def test_a_filling_keeps_to_rooms_and_demand(sizes, demand, rooms):
    one = task(tuple(sorted(sizes, reverse=True)), tuple(demand[: len(sizes)]), tuple(rooms))
    packed = filled(one)
    assert min(missing_from(one, packed)) >= 0
    assert all(one.used(counts) <= one.rooms[room] for room, counts in packed.items())
    if not any(missing_from(one, packed)):
        assert badness(one, packed)[1] >= least_price(one)
