from inventory.cutting.calc.strips import (
    Board,
    Shape,
    Strip,
    StripTask,
    layout_badness,
    missing_from_layout,
    price_of_layout,
)
from inventory.cutting.calc.strips_fill import laid_out, laid_out_once
from inventory.cutting.calc.strips_solver import lay_out

# Eleven kinds of blanks, two of each, on six boards: more than a proof is to be had for.
MANY = StripTask(
    shapes=tuple(
        sorted(
            (Shape(n, 200 + 347 * n % 700, 40 + 17 * n % 60) for n in range(11)),
            key=lambda shape: (-shape.width, -shape.length),
        )
    ),
    demand=(2,) * 11,
    boards=tuple(
        Board(length, width, length * width)
        for length, width in ((1200 + 613 * n % 1400, 120 + 37 * n % 140) for n in range(6))
    ),
)


def test_without_any_work_the_first_layout_is_the_answer():
    answer = lay_out(MANY, 0.0)
    assert answer.layout == laid_out_once(MANY)
    assert not any(missing_from_layout(MANY, answer.layout))
    assert layout_badness(MANY, laid_out(MANY)) <= layout_badness(MANY, answer.layout)
    assert answer.bound <= price_of_layout(MANY, answer.layout)


def test_work_never_makes_the_layout_worse():
    answer = lay_out(MANY, 0.5)
    assert layout_badness(MANY, answer.layout) <= layout_badness(MANY, laid_out(MANY))
    assert missing_from_layout(MANY, answer.layout) == (0,) * 11


def test_the_board_is_cut_as_short_as_can_be():
    # Four blanks of 100 x 50 on 400 x 100: two strips of two, not one of three and one of one.
    one = StripTask(shapes=(Shape(0, 100, 50),), demand=(4,), boards=(Board(400, 100, 40_000),))
    answer = lay_out(one, 1.0)
    assert answer.proven
    assert sorted(answer.layout[0]) == [Strip(50, (2,)), Strip(50, (2,))]
