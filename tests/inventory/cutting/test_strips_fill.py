from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.cutting.calc.strips import (
    Board,
    Shape,
    StripTask,
    fillable_area,
    layout_badness,
    least_layout_price,
    missing_from_layout,
    needed_area,
)
from inventory.cutting.calc.strips_fill import laid_out


def task(blanks, demand, boards):
    shapes = [Shape(kind, *size) for kind, size in enumerate(blanks)]
    return StripTask(
        shapes=tuple(sorted(shapes, key=lambda shape: (-shape.width, -shape.length))),
        demand=demand,
        boards=tuple(Board(length, width, length * width) for length, width in boards),
    )


def test_widths_are_chosen_to_cover_the_board():
    # 60 + 40 covers the width of 100 where the widest first, 70, would leave 30.
    one = task(((500, 70), (500, 60), (500, 40)), (1, 1, 1), ((500, 100), (500, 70)))
    assert missing_from_layout(one, laid_out(one)) == (0, 0, 0)


def test_boards_are_chosen_so_that_little_more_is_opened_than_needed():
    sizes = tuple((200 + 347 * n % 700, (45, 60, 80, 100, 110)[n % 5]) for n in range(60))
    boards = tuple((1200 + 613 * n % 1400, 120 + 37 * n % 140) for n in range(20))
    one = task(sizes, (1,) * 60, boards)
    missing, price, _ = layout_badness(one, laid_out(one))
    assert missing == 0
    assert price <= least_layout_price(one) * 1.25


@settings(deadline=None)
@given(
    blanks=st.lists(st.tuples(st.integers(1, 90), st.integers(1, 40)), min_size=1, max_size=5),
    demand=st.lists(st.integers(1, 3), min_size=5, max_size=5),
    boards=st.lists(st.tuples(st.integers(1, 150), st.integers(1, 80)), max_size=4),
)
def test_a_layout_keeps_to_its_boards_and_demand(blanks, demand, boards):
    one = task(tuple(blanks), tuple(demand[: len(blanks)]), tuple(boards))
    layout = laid_out(one)
    assert min(missing_from_layout(one, layout)) >= 0
    for board, strips in layout.items():
        length, width, _ = one.boards[board]
        assert sum(strip.width for strip in strips) <= width
        assert all(one.used(strip) <= length for strip in strips)
        for strip in strips:
            lying = [s for s, n in zip(one.shapes, strip.counts, strict=True) if n]
            assert max(shape.width for shape in lying) == strip.width
    if not any(missing_from_layout(one, layout)):
        assert needed_area(one) <= sum(fillable_area(one, board) for board in layout)
