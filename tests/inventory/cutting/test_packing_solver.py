import pytest

from inventory.cutting.calc.packing import Packed, Packing, missing_from, price_of
from inventory.cutting.calc.packing_fill import filled
from inventory.cutting.calc.packing_solver import pack, tidied


def task(sizes, demand, rooms):
    return Packing(sizes=sizes, demand=demand, rooms=rooms, prices=rooms)


# Sixty sizes in triples that fill twenty rooms of 1000 without a rest: the optimum is 20 by
# construction, and hard to find; the bound has to be exact and the answer near.
def triples(rooms):
    sizes = []
    for n in range(rooms):
        long, middle = 380 + 37 * n % 110, 260 + 23 * n % 40
        sizes += [long, middle, 1000 - long - middle]
    return tuple(sorted(sizes, reverse=True))


def test_a_hard_task_comes_with_its_bound():
    sizes = triples(20)
    one = task(sizes, (1,) * 60, (1000,) * 23)
    packed = pack(one, 0.5)
    assert not any(packed.missing)
    assert packed.bound == 20_000
    assert 20_000 <= price_of(one, packed.rooms) <= 21_000
    assert packed.proven is (price_of(one, packed.rooms) == 20_000)


@pytest.mark.parametrize("kinds", [3, 40], ids=["by patterns", "by assignment"])
def test_what_does_not_fit_is_missing_and_no_room_is_overfilled(kinds):
    sizes = tuple(range(60 + 2 * kinds, 60, -2))
    one = task(sizes, (3,) * kinds, (150, 140, 130))
    packed = pack(one, 0.3)
    assert packed.missing == missing_from(one, packed.rooms)
    assert any(packed.missing)
    assert all(one.used(counts) <= one.rooms[room] for room, counts in packed.rooms.items())


@pytest.mark.parametrize("kinds", [2, 40], ids=["by patterns", "by assignment"])
def test_without_any_work_the_quick_filling_is_the_answer(kinds):
    sizes = tuple(range(60 + 2 * kinds, 60, -2))
    one = task(sizes, (3,) * kinds, (150, 140, 130) * 15)
    assert pack(one, 0.0).rooms == filled(one)


def test_without_any_work_nothing_is_tidied():
    one = task((500, 300, 100), (1, 1, 2), (600, 600))
    loose = Packed(rooms={0: (1, 0, 0), 1: (0, 1, 2)}, missing=(0, 0, 0), bound=1200, proven=True)
    assert tidied(one, loose, 150, 0.0) is loose


def test_tidying_keeps_rooms_and_sizes_and_gathers_the_rest():
    one = task((500, 300, 100), (1, 1, 2), (600, 600))
    loose = Packed(rooms={0: (1, 0, 0), 1: (0, 1, 2)}, missing=(0, 0, 0), bound=1200, proven=True)
    tidy = tidied(one, loose, 150, 1.0)
    assert missing_from(one, tidy.rooms) == (0, 0, 0)
    assert sorted(one.used(counts) for counts in tidy.rooms.values()) == [400, 600]


def test_what_is_left_in_one_place_stays_as_it_is():
    one = task((600, 300), (1, 1), (600, 600))
    packed = Packed(rooms={0: (1, 0), 1: (0, 1)}, missing=(0, 0), bound=1200, proven=True)
    assert tidied(one, packed, 0, 1.0) is packed
