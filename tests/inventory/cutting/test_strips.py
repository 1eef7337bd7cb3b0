from inventory.cutting.calc.strips import (
    Board,
    Shape,
    Strip,
    StripTask,
    fillable_area,
    layout_badness,
    least_layout_price,
    missing_from_layout,
    needed_area,
    next_layout_price,
)

# Six blanks of 620 x 80 with a kerf of 3 on boards of 2320 x 190, each with one kerf more.
NECKS = StripTask(
    shapes=(Shape(0, 623, 83),),
    demand=(6,),
    boards=(Board(2323, 193, 440_800), Board(2323, 193, 440_800)),
)


def test_only_whole_strips_of_whole_blanks_count_as_fillable():
    assert fillable_area(NECKS, 0) == 3 * 623 * 2 * 83


def test_a_turned_shape_is_no_further_need():
    turned = StripTask(
        shapes=(Shape(0, 623, 83), Shape(0, 83, 623, turned=True)), demand=(6,), boards=()
    )
    assert needed_area(turned) == needed_area(NECKS) == 6 * 623 * 83


def test_the_area_needed_gives_a_price_from_below():
    assert least_layout_price(NECKS) == 440_800


def test_a_price_between_two_numbers_of_boards_is_raised_to_the_next():
    assert next_layout_price(NECKS, 440_801) == 881_600


def test_a_layout_is_ranked_by_what_is_missing_then_price_then_length_cut():
    two_strips = {0: (Strip(83, (3,)), Strip(83, (3,)))}
    one_strip = {0: (Strip(83, (3,)),)}
    assert missing_from_layout(NECKS, one_strip) == (3,)
    assert layout_badness(NECKS, two_strips) == (0, 440_800, 1869 * 193)
    assert layout_badness(NECKS, one_strip) > layout_badness(NECKS, two_strips)
