from decimal import Decimal

from hypothesis import given

from quotes.base.calc.figures import Figure, walk
from quotes.pricing.calc.basis import MaterialLine, OwnLine
from quotes.pricing.calc.compare import ChangeKind, compare_figures, compare_sheets
from quotes.pricing.calc.pricing import build_price
from tests.quotes.pricing.test_pricing import bases, policies, quoted
from tests.quotes.solid_electric import STAGES, materials


def named(differences):
    """Every difference by its name, at any depth."""
    found = {}
    for difference in differences:
        found |= {difference.name: difference} | named(difference.parts)
    return found


def test_a_dearer_part_shows_where_the_price_moved():
    # Walk-through W1: the machine heads go from 65.00 to 74.00.
    moved = compare_sheets(quoted(), quoted(materials=materials(machine_heads="74")))
    found = named(moved.steps)
    heads = found["Machine heads"]
    assert (heads.change, heads.before, heads.after, heads.amount) == (
        ChangeKind.CHANGED,
        65,
        74,
        9,
    )
    assert found["Materials"].amount == Decimal("11.25")
    assert found["Markup on materials"].how_after == "25 % markup, a margin of 20 %, on 569.80"
    assert found["Rounding up"].amount == Decimal("-1.25")
    assert "Labour" not in found
    assert (moved.price, moved.net, moved.tax, moved.gross) == (10, 10, 2, 12)


def test_a_line_put_in_and_a_line_taken_out_are_named():
    scroll = OwnLine(name="Scroll", amount=Decimal(400))
    moved = compare_sheets(quoted(stages=STAGES), quoted(stages=STAGES[1:], own_lines=(scroll,)))
    found = named(moved.steps)
    drawing = found["Spec drawing, template check"]
    assert (drawing.change, drawing.before, drawing.after) == (ChangeKind.REMOVED, 90, None)
    assert (found["Extra lines"].change, found["Extra lines"].amount) == (ChangeKind.ADDED, 400)
    assert moved.hours == -2


def test_a_figure_that_came_about_otherwise_differs_though_its_amount_is_the_same():
    before = Figure(name="Binding", amount=Decimal(90), how="2 h × 45")
    after = Figure(name="Binding", amount=Decimal(90), how="1.5 h × 60")
    [difference] = compare_figures([before], [after])
    assert (difference.amount, difference.how_before, difference.how_after) == (
        0,
        "2 h × 45",
        "1.5 h × 60",
    )


def test_a_renamed_line_with_the_same_key_is_the_same_line():
    before = Figure(name="Tuners", amount=Decimal(65), key="material:9")
    after = Figure(name="Machine heads", amount=Decimal(65), key="material:9")
    [difference] = compare_figures([before], [after])
    assert (difference.name, difference.change) == ("Machine heads", ChangeKind.CHANGED)


def test_two_lines_of_one_name_are_paired_in_order():
    dots = [Figure(name="Dots", amount=Decimal(amount)) for amount in (5, 6, 7)]
    [difference] = compare_figures(dots[:2], [*dots[:1], dots[2]])
    assert (difference.before, difference.after) == (6, 7)


def test_equal_sheets_do_not_differ():
    assert compare_sheets(quoted(), quoted()).steps == ()


@given(basis=bases, other=bases, policy=policies)
def test_the_steps_that_differ_add_up_to_the_difference_of_the_nets(basis, other, policy):
    before, after = build_price(basis, policy), build_price(other, policy)
    moved = compare_sheets(before, after)
    assert sum(step.amount for step in moved.steps) == after.net - before.net == moved.net


@given(basis=bases, policy=policies)
def test_a_comparison_turned_round_has_the_opposite_amounts(basis, policy):
    line = MaterialLine(name="Inlay", family="trim", quantity="1", cost=Decimal("12.34"))
    dearer = type(basis)(stages=basis.stages, materials=(*basis.materials, line))
    sheets = build_price(basis, policy), build_price(dearer, policy)
    there, back = compare_sheets(*sheets), compare_sheets(*reversed(sheets))
    assert there.gross == -back.gross
    assert sum(step.amount for step in there.steps) == -sum(step.amount for step in back.steps)
    assert {figure.name for figure in walk(sheets[1].steps)} >= set(named(there.steps)) - {
        figure.name for figure in walk(sheets[0].steps)
    }
