from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.pricing.calc.tax import EXPORT, TaxableLine, standard
from quotes.pricing.calc.tax_document import tax_document
from tests.quotes.strategies import baskets, cents


def line(net, percent):
    return TaxableLine(name="Line", net=Decimal(net), rate=standard(Decimal(percent)))


# Lines as (net, rate), groups as (rate, taxable, tax); sum of lines, net, tax, gross, prepaid, due.
# Source: the public UBL test invoices of EN 16931 (figures only). Example 1's last line is given
# as -109.98; its quantity times price would be positive, and the totals follow what is published.
INVOICES = {
    "example 1": {
        "lines": [
            ("19.90", 6), ("9.85", 6), ("8.29", 6), ("14.46", 6), ("35.00", 6), ("35.00", 6),
            ("10.65", 6), ("1.55", 6), ("14.37", 6), ("8.29", 6), ("16.58", 6), ("9.95", 6),
            ("3.30", 6), ("10.80", 21), ("3.90", 6), ("7.60", 21), ("9.34", 21), ("18.63", 21),
            ("102.12", 6), ("-109.98", 6),
        ],
        "groups": [(6, "183.23", "10.99"), (21, "46.37", "9.74")],
        "totals": ("229.60", "229.60", "20.73", "250.33", "0", "250.33"),
    },
    "example 5": {
        "lines": [("1000.00", 25), ("500.00", 25), ("2500.00", 12)],
        "allowances": [("150.00", 25)],
        "charges": [("150.00", 25)],
        "groups": [(25, "1500.00", "375.00"), (12, "2500.00", "300.00")],
        "totals": ("4000.00", "4000.00", "675.00", "4675.00", "2337.50", "2337.50"),
    },
    "example 6": {
        "lines": [("1000.00", 25), ("500.00", 25), ("2500.00", 12)],
        "groups": [(25, "1500.00", "375.00"), (12, "2500.00", "300.00")],
        "totals": ("4000.00", "4000.00", "675.00", "4675.00", "0", "4675.00"),
    },
    "example 8": {
        "lines": [
            ("140.80", 21), ("16.16", 21), ("167.64", 21), ("88.74", 21), ("36.75", 21),
            ("56.50", 21), ("83.34", 21), ("190.31", 21), ("64.21", 21), ("64.46", 21),
        ],
        "groups": [(21, "908.91", "190.87")],
        "totals": ("908.91", "908.91", "190.87", "1099.78", "0", "1099.78"),
    },
    "example 9": {
        "lines": [("147.00", 21)],
        "groups": [(21, "147.00", "30.87")],
        "totals": ("147.00", "147.00", "30.87", "177.87", "0", "177.87"),
    },
}  # fmt: skip


@pytest.mark.parametrize("invoice", INVOICES.values(), ids=INVOICES)
def test_totals_of_the_public_test_invoices(invoice):
    totals = [Decimal(amount) for amount in invoice["totals"]]
    document = tax_document(
        [line(*each) for each in invoice["lines"]],
        allowances=[line(*each) for each in invoice.get("allowances", [])],
        charges=[line(*each) for each in invoice.get("charges", [])],
        paid=totals[4],
    )
    groups = [(group.rate.percent, group.taxable, group.tax) for group in document.groups]
    assert groups == [
        (rate, Decimal(taxable), Decimal(tax)) for rate, taxable, tax in invoice["groups"]
    ]
    assert totals == [
        document.lines_total,
        document.net,
        document.tax,
        document.gross,
        document.paid,
        document.due,
    ]


def test_tax_is_put_on_the_sum_and_not_on_each_line():
    # Each line alone: 3 × 7.01 = 21.03.
    document = tax_document([line("33.37", 21)] * 3)
    assert (document.net, document.tax) == (Decimal("100.11"), Decimal("21.02"))


def exact_half_up(taxable, percent):
    """Tax in cents worked out in fractions, apart from the code under test."""
    exact = Fraction(taxable) * Fraction(percent)
    sign = -1 if exact < 0 else 1
    return sign * Decimal(int(abs(exact) + Fraction(1, 2))) / 100


@given(lines=baskets(), allowances=baskets(least=0), charges=baskets(least=0))
def test_the_tax_of_any_basket_is_the_standards(lines, allowances, charges):
    document = tax_document(lines, allowances=allowances, charges=charges)
    wanted = {}
    for each, sign in [(lines, 1), (charges, 1), (allowances, -1)]:
        for item in each:
            wanted[item.rate] = wanted.get(item.rate, 0) + sign * item.net
    taxes = {rate: exact_half_up(taxable, rate.percent) for rate, taxable in wanted.items()}
    assert {group.rate: group.tax for group in document.groups} == taxes
    assert document.gross == sum(wanted.values()) + sum(taxes.values())


@given(lines=baskets())
def test_a_credit_of_every_line_takes_back_the_whole_invoice(lines):
    credit = [replace(each, net=-each.net) for each in lines]
    assert tax_document(credit).gross == -tax_document(lines).gross


def test_the_same_percentage_in_two_categories_stays_apart():
    export = TaxableLine(name="Line", net=Decimal("10.00"), rate=EXPORT)
    document = tax_document([line("10.00", 20), export])
    assert [(group.rate.category, group.tax) for group in document.groups] == [
        ("S", Decimal("2.00")),
        ("G", Decimal("0.00")),
    ]


SOUND = tax_document([line("100.00", 20), line("50.00", 10)], paid=Decimal("20.00"))


@pytest.mark.parametrize(
    ("changed", "rule"),
    [
        ({"lines_total": Decimal("150.01")}, "BR-CO-10"),
        ({"allowance_total": Decimal("0.01")}, "BR-CO-11"),
        ({"charge_total": Decimal("0.01")}, "BR-CO-12"),
        ({"net": Decimal("150.01")}, "BR-CO-13"),
        ({"tax": Decimal("25.01")}, "BR-CO-14"),
        ({"gross": Decimal("175.01")}, "BR-CO-15"),
        ({"due": Decimal("155.01")}, "BR-CO-16"),
        ({"groups": ()}, "BR-CO-18"),
        ({"paid": Decimal("20.001")}, "BR-DEC"),
    ],
)
def test_a_document_whose_totals_break_a_rule_cannot_exist(changed, rule):
    with pytest.raises(ValueError, match=rule):
        replace(SOUND, **changed)


@pytest.mark.parametrize(("field", "rule"), [("tax", "BR-CO-17"), ("taxable", "BR-S-08")])
def test_a_group_that_is_not_its_lines_cannot_exist(field, rule):
    first, second = SOUND.groups
    wrong = replace(first, **{field: getattr(first, field) + Decimal("0.01")})
    with pytest.raises(ValueError, match=rule):
        replace(SOUND, groups=(wrong, second))


@given(lines=baskets(), paid=cents(), rounding=st.sampled_from(["-0.01", "0", "0.01"]))
def test_what_is_due_is_the_gross_less_what_is_paid_with_the_rounding(lines, paid, rounding):
    document = tax_document(lines, paid=paid, rounding=Decimal(rounding))
    assert document.due == document.gross - paid + Decimal(rounding)
