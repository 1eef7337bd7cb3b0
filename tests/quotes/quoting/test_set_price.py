"""A price set by hand is reached to the cent, whatever is charged on the way."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.pricing.calc.tax_document import tax_document
from quotes.quoting.services.edit import edit_quote, set_price
from tests.quotes.factories import make_policy, make_quote, sheet_now
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(workshop):
    make_policy(shipping=Decimal(60))
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("20", "48", "80"))
    make_template_line(template, "all of it", cost_likely=Decimal("560.80"))
    return make_quote(template=template)


def sheet(draft):
    return sheet_now(draft)


@pytest.mark.parametrize(
    ("fields", "amount"),
    [
        ({}, "2900"),
        ({}, "3500"),
        ({}, "3333.33"),
        ({"rush": Decimal("0.15")}, "3990"),
        ({"fee_percent": Decimal("0.03"), "fee_fixed": Decimal("0.30")}, "2950"),
    ],
    ids=["below the sum", "above it", "no multiple of the step", "with rush", "with fees"],
)
def test_the_price_is_what_was_asked_for(draft, fields, amount):
    edit_quote(quote=draft, **fields)
    set_price(quote=draft, amount=Decimal(amount))
    assert sheet(draft).price == Decimal(amount)


@pytest.mark.parametrize("amount", ["2949.99", "2950.00", "2950.01", "2950.02"])
@pytest.mark.parametrize(
    "fields",
    [
        {"rush": Decimal("0.15")},
        {"fee_percent": Decimal("0.035"), "fee_fixed": Decimal("0.35")},
        {"dealer_discount": Decimal("0.4")},
        {
            "rush": Decimal("0.25"),
            "fee_percent": Decimal("0.03"),
            "dealer_discount": Decimal("0.5"),
        },
    ],
    ids=["rush", "fees", "dealer", "all"],
)
def test_no_price_is_missed_by_a_cent_where_there_is_no_step(draft, fields, amount):
    edit_quote(quote=draft, price_step=Decimal(0), **fields)
    set_price(quote=draft, amount=Decimal(amount))
    assert sheet(draft).price == Decimal(amount)


def test_less_than_the_fees_alone_is_refused(draft):
    edit_quote(quote=draft, price_step=Decimal(0), fee_fixed=Decimal(5))
    with pytest.raises(Refusal, match="12 does not cover the fees"):
        set_price(quote=draft, amount=Decimal(12))
    assert not draft.extras.exists()


def test_a_gross_price_has_its_tax_taken_out(draft):
    set_price(quote=draft, amount=Decimal(3600), is_gross=True)
    assert sheet(draft).price == Decimal(3000)


@pytest.mark.parametrize("with_tax", [False, True], ids=["typed net", "typed with tax"])
@pytest.mark.parametrize("amount", ["3599.99", "3600.01", "3600.00"])
@pytest.mark.parametrize("shipping", ["0", "60", "60.01", "59.99"])
def test_a_gross_price_is_what_the_client_pays_more(draft, amount, with_tax, shipping):
    edit_quote(quote=draft, prices_with_tax=with_tax, shipping=Decimal(shipping))
    carried = sheet(draft).document.lines[1:]
    alone = tax_document(carried).gross if carried else 0
    set_price(quote=draft, amount=Decimal(amount), is_gross=True)
    assert sheet(draft).gross == Decimal(amount) + (Decimal(shipping) if with_tax else alone)


@pytest.mark.parametrize("with_tax", [False, True], ids=["typed net", "typed with tax"])
def test_a_gross_price_that_no_net_gives_is_refused_with_the_nearest(draft, with_tax):
    edit_quote(quote=draft, prices_with_tax=with_tax, shipping=Decimal(0))
    set_price(quote=draft, amount=Decimal(2900))
    with pytest.raises(Refusal, match=r"3600.03 gross at 20 %. Use 3600.02 or 3600.04"):
        set_price(quote=draft, amount=Decimal("3600.03"), is_gross=True)
    assert sheet(draft).price == Decimal(2900)


def test_a_shipping_price_typed_with_tax_is_on_the_paper_to_the_cent(draft):
    edit_quote(quote=draft, prices_with_tax=True, shipping=Decimal("60.03"))
    set_price(quote=draft, amount=Decimal(3600), is_gross=True)
    assert sheet(draft).gross == Decimal("3660.03")


def test_a_second_price_replaces_the_first(draft):
    set_price(quote=draft, amount=Decimal(2900))
    set_price(quote=draft, amount=Decimal(3100))
    assert draft.extras.count() == 1
    assert sheet(draft).price == Decimal(3100)


@pytest.mark.parametrize("amount", ["0", "-5", "10.005"])
def test_a_price_that_can_not_be_is_refused(draft, amount):
    with pytest.raises(Refusal, match="Give a price above 0"):
        set_price(quote=draft, amount=Decimal(amount))
    assert not draft.extras.exists()
