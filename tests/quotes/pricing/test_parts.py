from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from quotes.pricing.calc.offer import read_parts
from quotes.pricing.calc.parts import PartTerm, PaymentPart, part_documents, payment_parts
from quotes.pricing.calc.tax import TaxableLine, standard
from quotes.pricing.calc.tax_document import tax_document
from tests.quotes.strategies import baskets, cents

TERMS = [
    PartTerm(name="Deposit", percent=Decimal(30)),
    PartTerm(name="Start", percent=Decimal(30)),
    PartTerm(name="Balance", percent=Decimal(40)),
]


# Walk-through W1.
@pytest.mark.parametrize(
    ("gross", "amounts"),
    [
        ("3768.00", ["1130.40", "1130.40", "1507.20"]),
        ("3845.00", ["1153.50", "1153.50", "1538.00"]),
    ],
    ids=["home", "abroad"],
)
def test_w1_is_paid_in_three_parts(gross, amounts):
    parts = payment_parts(Decimal(gross), TERMS)
    assert [part.amount for part in parts] == [Decimal(amount) for amount in amounts]
    assert [part.name for part in parts] == ["Deposit", "Start", "Balance"]


def test_a_fixed_deposit_comes_off_before_the_percentages():
    terms = [PartTerm(name="Place on the list", amount=Decimal(200)), *TERMS]
    parts = payment_parts(Decimal("3200.00"), terms)
    assert [part.amount for part in parts] == [200, 900, 900, 1200]


def test_fixed_parts_alone_must_be_the_whole():
    only = [PartTerm(name="All at once", amount=Decimal(500))]
    assert payment_parts(Decimal(500), only) == (
        PaymentPart(name="All at once", amount=Decimal(500)),
    )


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        (
            [PartTerm(name="A", percent=Decimal(90))],
            "The parts add up to 90 %; they must add up to 100 %.",
        ),
        ([], "The parts add up to 0 %; they must add up to 100 %."),
        (
            [PartTerm(name="A", amount=Decimal(101))],
            "The fixed parts add up to more than the price, 100.00.",
        ),
    ],
    ids=["short of the whole", "none", "more than the whole"],
)
def test_terms_that_are_not_the_whole_are_refused(terms, sentence):
    with pytest.raises(Refusal) as refused:
        payment_parts(Decimal("100.00"), terms)
    assert refused.value.sentence == sentence


def test_a_part_is_a_percentage_or_an_amount():
    with pytest.raises(Refusal, match="Deposit has a percentage and an amount"):
        PartTerm(name="Deposit", percent=Decimal(30), amount=Decimal(100))


def terms_of(percents):
    return [PartTerm(name=str(at), percent=percent) for at, percent in enumerate(percents)]


@st.composite
def splits(draw):
    """Percentages with two places that come to 100."""
    cuts = sorted(draw(st.lists(st.integers(0, 10_000), max_size=5)))
    ends = [0, *cuts, 10_000]
    return [Decimal(after - before) / 100 for before, after in pairwise(ends)]


@given(gross=cents(), percents=splits())
def test_parts_of_any_split_add_up_to_the_gross(gross, percents):
    parts = payment_parts(gross, terms_of(percents))
    assert sum(part.amount for part in parts) == gross
    assert all(part.amount >= 0 for part in parts)


def test_each_part_of_w1_has_its_own_net_and_tax():
    whole = tax_document(
        [TaxableLine(name="Mandolin", net=Decimal("3140.00"), rate=standard(Decimal(20)))]
    )
    documents = part_documents(whole, payment_parts(whole.gross, TERMS))
    assert [(each.net, each.tax, each.due) for each in documents] == [
        (Decimal("942.00"), Decimal("188.40"), Decimal("1130.40")),
        (Decimal("942.00"), Decimal("188.40"), Decimal("1130.40")),
        (Decimal("1256.00"), Decimal("251.20"), Decimal("1507.20")),
    ]


@given(lines=baskets(least=0), percents=splits())
def test_documents_of_parts_add_up_to_the_whole(lines, percents):
    whole = tax_document(lines)
    if not whole.gross:
        return
    documents = part_documents(whole, payment_parts(whole.gross, terms_of(percents)))
    assert sum(each.due for each in documents) == whole.gross
    assert sum(each.net for each in documents) == whole.net
    # Each rate's net and its tax may each be off by one cent.
    assert all(abs(each.rounding) <= len(whole.groups) * Decimal("0.02") for each in documents)


def test_parts_of_another_whole_are_a_mistake():
    whole = tax_document([TaxableLine(name="Case", net=Decimal(10), rate=standard(Decimal(20)))])
    with pytest.raises(ValueError, match="The parts come to 11, not 12"):
        part_documents(whole, [PaymentPart(name="All", amount=Decimal(11))])


@pytest.mark.parametrize(
    "text", ["3 equal parts", "3 equal", "33.33 33.33 33.34", "33.3 33.3 33.4"]
)
def test_thirds_are_equal_to_the_cent(text):
    # 3 × 2,423.25 = 7,269.75.
    parts = payment_parts(Decimal("7269.75"), read_parts(text))
    assert [part.amount for part in parts] == [Decimal("2423.25")] * 3


def test_what_is_meant_to_differ_differs():
    parts = payment_parts(Decimal("100.00"), read_parts("33 33 34"))
    assert [part.amount for part in parts] == [Decimal(33), Decimal(33), Decimal(34)]


@pytest.mark.parametrize("count", range(1, 20))
def test_any_number_of_equal_parts_adds_up(count):
    parts = payment_parts(Decimal("7269.77"), read_parts(f"{count} equal parts"))
    amounts = [part.amount for part in parts]
    assert sum(amounts) == Decimal("7269.77")
    assert max(amounts) - min(amounts) <= Decimal("0.01")


def test_no_equal_parts_are_refused():
    with pytest.raises(Refusal, match="at least one part"):
        read_parts("0 equal parts")


def test_parts_of_a_price_without_cents_have_none():
    lines = [TaxableLine(name="Bouzouki", net=Decimal(100_000), rate=standard(Decimal(10)))]
    whole = tax_document(lines, minor_unit=Decimal(1))
    thirds = [
        PaymentPart(name=name, amount=Decimal(amount))
        for name, amount in (("A", 36_667), ("B", 36_667), ("C", 36_666))
    ]
    documents = part_documents(whole, thirds)
    nets = [group.taxable for one in documents for group in one.groups]
    assert all(net == net.to_integral_value() for net in nets)
    assert sum(nets) == 100_000
    assert [one.due for one in documents] == [36_667, 36_667, 36_666]
