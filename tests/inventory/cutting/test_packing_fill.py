from hypothesis import given
from hypothesis import strategies as st

from inventory.cutting.calc.packing import Packing, badness, least_price, missing_from
from inventory.cutting.calc.packing_fill import filled


def task(sizes, demand, rooms):
    return Packing(sizes=sizes, demand=demand, rooms=rooms, prices=rooms)


def test_a_filling_uses_the_room_exactly_where_it_can():
    one = task((500, 400, 300, 200, 100), (1, 1, 1, 1, 1), (1000, 600, 500))
    assert badness(one, filled(one)) == (0, 1500)


def test_rooms_are_chosen_so_that_little_more_is_opened_than_needed():
    sizes = tuple(sorted((80 + 347 * n % 820 for n in range(60)), reverse=True))
    one = task(sizes, (1,) * 60, tuple(1500 + 613 * n % 1100 for n in range(20)))
    missing, price = badness(one, filled(one))
    assert missing == 0
    assert price <= least_price(one) * 1.01


def test_without_rooms_everything_is_missing():
    assert filled(task((5,), (1,), ())) == {}


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
