from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.base.calc.figures import Figure
from quotes.cancelling.calc import Settlement, credits_latest_first


@pytest.mark.parametrize(
    ("work", "deposit", "proposed"),
    [(500, 300, 500), (100, 300, 300), (1200, 300, 1000)],
    ids=["work", "deposit", "never beyond what was agreed"],
)
def test_the_dearer_of_work_and_deposit_is_proposed(work, deposit, proposed):
    due = Settlement(
        work=Figure(name="Work so far", amount=Decimal(work)),
        deposit=Decimal(deposit),
        agreed=Decimal(1000),
        invoiced=Decimal(0),
        received=Decimal(300),
    )
    assert (due.proposed, due.to_pay) == (proposed, proposed - 300)


@given(
    left=st.lists(st.decimals(min_value=0, max_value=10_000, places=2), min_size=1),
    part=st.integers(0, 100),
)
def test_credits_come_to_the_amount_and_leave_no_invoice_below_0(left, part):
    amount = sum(left) * part / 100
    credits = credits_latest_first(left, amount)
    assert sum(credits) == amount
    assert all(0 <= credit <= each for credit, each in zip(credits, left, strict=True))
