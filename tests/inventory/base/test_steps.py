from decimal import Decimal

import pytest

from inventory.base.calc.steps import as_percent


@pytest.mark.parametrize(
    ("rate", "words"), [("0.08", "8 %"), ("0.125", "12.5 %"), ("0", "0 %"), ("1.00", "100 %")]
)
def test_a_rate_is_written_in_percent(rate, words):
    assert as_percent(Decimal(rate)) == words
