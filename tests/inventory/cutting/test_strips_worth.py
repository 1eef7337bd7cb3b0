from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.cutting.calc.strips import Board, Shape, StripTask, taken_from
from inventory.cutting.calc.strips_worth import best_fillings, without_repeats


def task_of(blanks, board):
    shapes = sorted(
        (Shape(kind, length, width) for kind, (length, width, *_) in enumerate(blanks)),
        key=lambda shape: (-shape.width, -shape.length),
    )
    demand = tuple(count for *_, count in blanks)
    return StripTask(shapes=tuple(shapes), demand=demand, boards=(Board(*board, 1),))


def worth_of(task, worths, strips):
    made = [-count for count in taken_from(task, [0] * len(task.demand), strips)]
    return sum(worth * count for worth, count in zip(worths, made, strict=True))


def most_by_trying_all(blanks, worths, board):
    """The most worth in one board: every blank in no strip or in one of as many as may be."""
    singles = [(kind, *blank[:2]) for kind, blank in enumerate(blanks) for _ in range(blank[2])]
    best = 0
    for places in product(range(-1, len(singles)), repeat=len(singles)):
        strips = [
            [one for one, at in zip(singles, places, strict=True) if at == strip]
            for strip in range(len(singles))
        ]
        lengths = [sum(length for _, length, _ in strip) for strip in strips]
        widths = [max((width for *_, width in strip), default=0) for strip in strips]
        if max(lengths) <= board[0] and sum(widths) <= board[1]:
            taken = [kind for strip in strips for kind, *_ in strip]
            best = max(best, sum(worths[kind] for kind in taken))
    return best


blanks = st.lists(
    st.tuples(st.integers(1, 60), st.integers(1, 40), st.integers(1, 2)), min_size=1, max_size=4
).filter(lambda some: sum(count for *_, count in some) <= 5)
boards = st.tuples(st.integers(1, 120), st.integers(1, 80))
worths = st.lists(st.integers(0, 50), min_size=4, max_size=4)


def assert_lies_on(task, strips):
    (board,) = task.boards
    assert sum(strip.width for strip in strips) <= board.width
    assert all(task.used(strip) <= board.length for strip in strips)


@settings(max_examples=60, deadline=None)
@given(blanks=blanks, board=boards, worths=worths)
def test_no_filling_is_worth_more_than_the_one_that_is_found(blanks, board, worths):
    task = task_of(blanks, board)
    worths = worths[: len(blanks)]
    filling = best_fillings(task, worths, task.demand, task.boards)[task.boards[0]]
    assert filling.worth == worth_of(task, worths, filling.strips)
    assert_lies_on(task, filling.strips)
    assert filling.worth >= most_by_trying_all(blanks, worths, board)


@settings(max_examples=60, deadline=None)
@given(blanks=blanks, board=boards, worths=worths)
def test_without_repeats_no_blank_is_cut_that_nobody_wants(blanks, board, worths):
    task = task_of(blanks, board)
    worths = worths[: len(blanks)]
    filling = best_fillings(task, worths, task.demand, task.boards)[task.boards[0]]
    strips = without_repeats(task, worths, task.demand, task.boards[0], filling)
    assert_lies_on(task, strips)
    assert min(taken_from(task, task.demand, strips)) >= 0
    assert worth_of(task, worths, strips) <= most_by_trying_all(blanks, worths, board)


def test_a_strip_may_be_repeated_for_the_bound_but_not_for_a_layout():
    task = task_of([(100, 50, 1)], (100, 100))
    board = task.boards[0]
    filling = best_fillings(task, [7], task.demand, task.boards)[board]
    assert (filling.worth, len(filling.strips)) == (14, 2)
    assert len(without_repeats(task, [7], task.demand, board, filling)) == 1
