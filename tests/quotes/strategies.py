"""What the property tests of prices draw from."""

from decimal import Decimal

from hypothesis import strategies as st

from quotes.pricing.calc.contingency import FailureRisk
from quotes.pricing.calc.tax import EXPORT, NOT_REGISTERED, TaxableLine, standard


def cents(least=0, most=1_000_000):
    return st.integers(least, most).map(lambda whole: Decimal(whole) / 100)


def percents(most=100):
    return st.integers(0, most * 10).map(lambda tenths: Decimal(tenths) / 10)


RATES = st.one_of(
    st.integers(1, 270).map(lambda tenths: standard(Decimal(tenths) / 10)),
    st.sampled_from([EXPORT, NOT_REGISTERED]),
)


RISKS = st.builds(
    FailureRisk,
    name=st.text("ab", max_size=2),
    stage=st.text("ab", max_size=2),
    chance_percent=percents(most=60),
    hours=percents(most=20),
    cost=cents(most=60_000),
)


def baskets(least=-1_000_000, most=1_000_000):
    line = st.builds(TaxableLine, name=st.just("Line"), net=cents(least, most), rate=RATES)
    return st.lists(line, min_size=1, max_size=12)
