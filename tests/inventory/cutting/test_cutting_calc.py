from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from inventory.cutting.calc.costs import Loss, Saw, book_loss, share_cut_cost

SIX_BLANKS = [Decimal(620)] * 6


def board_cost():
    """A maple board: 97.78 over 2320 mm of usable length, 451 of it a remnant, six blanks."""
    return share_cut_cost(
        Decimal("97.78"), Decimal(2320), remnants=[Decimal(451)], parts=SIX_BLANKS
    )


def test_the_remnant_takes_its_share_of_the_usable_length():
    costs = board_cost()
    assert costs.remnants == (Decimal("19.01"),)
    assert sum(costs.parts) == Decimal("78.77")
    assert set(costs.parts) == {Decimal("13.12"), Decimal("13.13")}


def test_a_normal_loss_falls_on_the_good_ones():
    booked = book_loss(board_cost().parts, SIX_BLANKS, {2}, Loss.NORMAL)
    good = [cost for cost in booked.parts if cost]
    assert good == [Decimal(text) for text in ("15.75", "15.76", "15.75", "15.76", "15.75")]
    assert (booked.parts[2], booked.loss) == (0, 0)


def test_an_abnormal_loss_stands_alone():
    costs = board_cost().parts
    booked = book_loss(costs, SIX_BLANKS, {2}, Loss.ABNORMAL)
    assert booked.loss == costs[2]
    assert booked.parts == (*costs[:2], 0, *costs[3:])


@pytest.mark.parametrize("kind", Loss)
def test_with_nothing_good_all_is_lost(kind):
    booked = book_loss([Decimal("1.00"), Decimal("2.00")], [Decimal(1)] * 2, {0, 1}, kind)
    assert (booked.parts, booked.loss) == ((0, 0), Decimal("3.00"))


def test_parts_share_by_their_size():
    costs = share_cut_cost(
        Decimal("10.00"), Decimal(100), remnants=[], parts=[Decimal(60), Decimal(20)]
    )
    assert costs.parts == (Decimal("7.50"), Decimal("2.50"))


def test_a_piece_only_split_gives_all_its_cost_to_what_is_kept():
    costs = share_cut_cost(
        Decimal("10.00"), Decimal(100), remnants=[Decimal(70), Decimal(20)], parts=[]
    )
    assert (costs.remnants, costs.parts) == ((Decimal("7.78"), Decimal("2.22")), ())


def test_remnants_never_exceed_the_piece():
    with pytest.raises(ValueError, match="can't come from"):
        share_cut_cost(Decimal(1), Decimal(10), remnants=[Decimal(11)], parts=[Decimal(1)])


def test_a_saw_never_adds_wood():
    with pytest.raises(Refusal, match="at least 0"):
        Saw(kerf=Decimal(-1))


@given(
    cost=st.integers(0, 1_000_000).map(lambda n: Decimal(n) / 100),
    remnants=st.lists(st.integers(1, 900).map(Decimal), max_size=4),
    parts=st.lists(st.integers(1, 900).map(Decimal), min_size=1, max_size=9),
    waste=st.integers(0, 90),
    spoilt=st.sets(st.integers(0, 8)),
    kind=st.sampled_from(Loss),
)
def test_cost_is_conserved_through_cutting_and_loss(cost, remnants, parts, waste, spoilt, kind):
    usable = sum(remnants) + sum(parts) + waste
    cut = share_cut_cost(cost, usable, remnants=remnants, parts=parts)
    assert sum(cut.remnants) + sum(cut.parts) == cost
    booked = book_loss(cut.parts, parts, spoilt, kind)
    assert sum(booked.parts) + booked.loss == sum(cut.parts)
    assert min(booked.parts) >= 0
