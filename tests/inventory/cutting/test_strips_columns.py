from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.cutting.calc.strips import (
    Board,
    Shape,
    StripTask,
    missing_from_layout,
    next_layout_price,
    price_of_layout,
)
from inventory.cutting.calc.strips_columns import lay_out_by_columns
from inventory.cutting.calc.strips_fill import laid_out
from inventory.cutting.calc.strips_patterns import lay_out_by_patterns


def task_of(blanks, boards):
    shapes = [Shape(kind, length, width) for kind, (length, width, _) in enumerate(blanks)]
    return StripTask(
        shapes=tuple(sorted(shapes, key=lambda shape: (-shape.width, -shape.length))),
        demand=tuple(count for *_, count in blanks),
        boards=tuple(Board(length, width, length * width) for length, width in boards),
    )


SIXTY = task_of(
    [(250 + 347 * n % 450, 45 + 53 * n % 105, 1) for n in range(60)],
    [(1800 + 613 * n % 600, 190) for n in range(20)],
)

blanks = st.lists(
    st.tuples(st.integers(20, 90), st.integers(10, 40), st.integers(1, 3)), min_size=1, max_size=5
)
boards = st.lists(st.tuples(st.integers(60, 200), st.integers(30, 90)), min_size=1, max_size=5)


@cache
def quickly_laid_out():
    return laid_out(SIXTY)


def assert_keeps_to(task, layout):
    assert min(missing_from_layout(task, layout)) >= 0
    for number, strips in layout.items():
        board = task.boards[number]
        assert sum(strip.width for strip in strips) <= board.width
        assert all(task.used(strip) <= board.length for strip in strips)


@settings(max_examples=50, deadline=None)
@given(blanks=blanks, boards=boards)
def test_no_layout_that_holds_all_gets_under_the_bound(blanks, boards):
    task = task_of(blanks, boards)
    proven = lay_out_by_patterns(task, {}, 1.0)
    found = lay_out_by_columns(task, laid_out(task), 1.0)
    assert_keeps_to(task, found.layout)
    if proven.optimal and not any(missing_from_layout(task, proven.layout)):
        assert found.bound <= price_of_layout(task, proven.layout)


def test_sixty_sizes_come_nearer_to_their_bound_than_a_quick_layout():
    quick = quickly_laid_out()
    found = lay_out_by_columns(SIXTY, quick, 0.7)
    assert_keeps_to(SIXTY, found.layout)
    assert missing_from_layout(SIXTY, found.layout) == (0,) * 60
    price = price_of_layout(SIXTY, found.layout)
    assert found.bound <= price < price_of_layout(SIXTY, quick)
    assert price <= found.bound * 1.1


def test_the_bound_holds_wherever_the_work_ends():
    task = task_of([(50 + 37 * n % 60, 10 + 13 * n % 25, 1) for n in range(12)], [(200, 60)] * 6)
    proven = lay_out_by_patterns(task, {}, 2.0)
    assert proven.optimal
    for seconds in (0.0, 0.0005, 0.002, 0.01):
        found = lay_out_by_columns(task, laid_out(task), seconds)
        assert found.bound <= price_of_layout(task, proven.layout)
        assert_keeps_to(task, found.layout)


def test_a_bound_is_raised_to_what_boards_can_cost():
    task = task_of([(100, 50, 5)], [(200, 100)] * 3)
    found = lay_out_by_columns(task, {}, 1.0)
    assert found.bound == next_layout_price(task, 20_001) == price_of_layout(task, found.layout)


def test_what_no_board_holds_stays_missing():
    task = task_of([(100, 50, 3), (300, 20, 1)], [(200, 50)])
    found = lay_out_by_columns(task, {}, 1.0)
    assert missing_from_layout(task, found.layout) == (1, 1)


def test_the_same_task_is_laid_out_the_same():
    quick = quickly_laid_out()
    layouts = [lay_out_by_columns(SIXTY, quick, 0.1).layout for _ in range(2)]
    assert layouts[0] == layouts[1]
