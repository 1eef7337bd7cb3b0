from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from quotes.base.calc.figures import total, walk
from quotes.pricing.calc.basis import (
    BesideLine,
    BoughtLine,
    MaterialLine,
    OwnLine,
    PriceBasis,
    PricingFigures,
    StageHours,
)
from quotes.pricing.calc.contingency import FailureRisk
from quotes.pricing.calc.fees import PaymentFee, fee_on
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.calc.tax import EXPORT, standard
from tests.quotes.solid_electric import STAGES, materials
from tests.quotes.strategies import RATES, RISKS, cents, percents

POLICY = {
    "shop_rate": Decimal(45),
    "contingency_percent": Decimal(10),
    "price_step": Decimal(10),
    "tax": standard(Decimal(20)),
}


def quoted(shipping="60", policy=None, **basis):
    parts = {"stages": STAGES, "materials": materials()} | basis
    carried = (BoughtLine(name="Carrier", cost=Decimal(shipping)),)
    return build_price(
        PriceBasis(**parts, shipping=carried), PricingFigures(**(POLICY | (policy or {})))
    )


def test_w1_at_home():
    sheet = quoted()
    steps = ["labour", "materials", "contingency", "rounding", "shipping"]
    assert [(step.key, step.amount) for step in sheet.steps] == list(
        zip(steps, map(Decimal, ["2160.00", "701.00", "216.00", "3.00", "60.00"]), strict=True)
    )
    assert sheet.hours == 48
    assert sheet.amount("materials-cost") == Decimal("560.80")
    assert sheet.amount("markup:25") == Decimal("140.20")
    assert sheet.subtotal == Decimal("3077.00")
    assert sheet.price == Decimal("3080.00")
    assert (sheet.net, sheet.tax, sheet.gross) == (
        Decimal("3140.00"),
        Decimal("628.00"),
        Decimal("3768.00"),
    )


def test_w1_abroad_is_not_taxed():
    sheet = quoted(shipping="140", policy={"tax": EXPORT})
    assert (sheet.net, sheet.tax, sheet.gross) == (3220, 0, 3220)


def test_w1_after_the_machine_heads_went_up():
    sheet = quoted(materials=materials(machine_heads="74"))
    assert sheet.amount("materials-cost") == Decimal("569.80")
    assert sheet.amount("materials") == Decimal("712.25")
    assert sheet.subtotal == Decimal("3088.25")
    assert sheet.price == Decimal("3090.00")


def test_every_figure_opens_to_its_lines():
    sheet = quoted()
    carving = sheet.find("stage:Neck carve and body joint")
    assert (carving.amount, carving.how) == (Decimal("180.00"), "4 h × 45")
    assert sheet.amount("family:hardware") == Decimal("137.00")
    assert sheet.find("material:String set").amount == Decimal("11.80")
    assert sheet.find("markup:25").how == "25 % markup, a margin of 20 %, on 560.80"
    assert sheet.find("contingency-percent").how == "10 % of 2,160.00"
    assert sheet.find("rounding").how == "3,077.00 up to the next 10"


def test_a_markup_is_rounded_once_and_shared_among_its_families():
    # Rounded for each line, 25 % of 0.10 and of 0.10 would be 0.03 and 0.03.
    lines = tuple(
        MaterialLine(
            name=name, family=name, quantity="1", cost=Decimal("0.10"), markup_percent=Decimal(25)
        )
        for name in ("Screws", "Dots")
    )
    markup = quoted(materials=lines).find("markup:25")
    assert [part.amount for part in markup.parts] == [Decimal("0.03"), Decimal("0.02")]
    assert markup.amount == Decimal("0.05")


def test_each_markup_percentage_has_its_line():
    lines = (*materials("25")[:2], *materials("40")[2:4], *materials("0")[4:5])
    sheet = quoted(materials=lines)
    assert sheet.amount("markup:25") == Decimal("20.75")
    assert sheet.amount("markup:40") == Decimal("17.20")
    assert sheet.find("markup:0") is None
    assert sheet.amount("materials") == Decimal("171.95")


def test_a_stage_may_have_its_own_rate():
    inlay = StageHours(name="Inlay", hours=Decimal(2), rate=Decimal(80), how="drawn by the client")
    sheet = quoted(stages=(*STAGES, inlay))
    assert sheet.find("stage:Inlay").how == "2 h × 80; drawn by the client"
    assert sheet.amount("labour") == Decimal("2320.00")


def test_bought_things_carry_their_own_markup():
    plating = BoughtLine(name="Plating", cost=Decimal("80.00"), markup_percent=Decimal(15))
    case = BoughtLine(name="Case", cost=Decimal("90.00"))
    sheet = quoted(outside_work=(plating,), packing=(case,))
    assert sheet.amount("outside") == Decimal("92.00")
    assert [part.amount for part in sheet.find("bought:Plating").parts] == [80, 12]
    assert sheet.amount("packing") == Decimal("90.00")


def test_contingency_may_come_from_the_stages_own_failures():
    # 1 / 9 × (3 h × 45 + 25) = 17.78 of 2,160 of labour; variance 0.1 / 0.81 × 160².
    bending = FailureRisk(
        name="A rib snaps",
        stage="Bend ribs",
        chance_percent=Decimal(10),
        hours=Decimal(3),
        cost=Decimal(25),
    )
    sheet = quoted(failures=(bending,), policy={"contingency_percent": Decimal(0)})
    contingency = sheet.find("contingency")
    assert contingency.amount == Decimal("17.78")
    assert contingency.how == "on average, ± 56.22; 0.8 % of labour"
    assert [part.name for part in contingency.parts] == ["A rib snaps"]


def test_a_rush_is_charged_before_the_price_goes_up_to_its_step():
    sheet = quoted(policy={"rush_percent": Decimal(20)})
    assert sheet.amount("rush") == Decimal("615.40")
    assert sheet.price == Decimal("3700.00")


def test_a_dealers_discount_leaves_the_makers_price():
    sheet = quoted(policy={"dealer_percent": Decimal(25), "price_step": Decimal(0)})
    assert sheet.price - Decimal("1025.67") == Decimal("3077.00")
    assert sheet.amount("discount") == Decimal("-1025.67")
    assert sheet.document.allowance_total == Decimal("1025.67")


def test_what_is_sold_beside_the_instrument_has_its_own_rate():
    case = BesideLine(
        name="Case", cost=Decimal(80), markup_percent=Decimal(25), tax=standard(Decimal(7))
    )
    sheet = quoted(beside=(case,))
    assert sheet.price == Decimal("3080.00")
    assert sheet.net == Decimal("3240.00")
    assert [(group.taxable, group.tax) for group in sheet.document.groups] == [
        (Decimal("3140.00"), Decimal("628.00")),
        (Decimal("100.00"), Decimal("7.00")),
    ]


@pytest.mark.parametrize(
    ("percent", "price", "gross"),
    [("20", "3083.33", "3700.00"), ("21", "3082.64", "3730.00"), ("0.00", "3080.00", "3080.00")],
    ids=["20 %", "no net has 3,730.00 with it: a cent of rounding", "untaxed"],
)
def test_it_may_be_the_price_with_tax_that_goes_up_to_the_step(percent, price, gross):
    tax = standard(Decimal(percent)) if Decimal(percent) else EXPORT
    sheet = quoted(shipping="0", policy={"step_with_tax": True, "tax": tax})
    assert (sheet.price, sheet.gross) == (Decimal(price), Decimal(gross))


def test_shipping_may_be_taxed_at_another_rate():
    sheet = quoted(policy={"shipping_tax": standard(Decimal(10))})
    assert sheet.tax == Decimal("622.00")


@pytest.mark.parametrize("amount", ["-5000", "-3077.01"])
def test_giving_away_more_than_everything_is_refused(amount):
    with pytest.raises(Refusal, match="a price can't be below 0"):
        quoted(own_lines=(OwnLine(name="For a friend", amount=Decimal(amount)),))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("shop_rate", "-1"),
        ("contingency_percent", "101"),
        ("rush_percent", "-1"),
        ("dealer_percent", "95"),
        ("price_step", "-5"),
    ],
)
def test_a_policy_that_cannot_be_meant_is_refused(field, value):
    with pytest.raises(Refusal) as refused:
        quoted(policy={field: Decimal(value)})
    assert refused.value.field == field


names = st.text("abc", max_size=2)
stages = st.builds(StageHours, name=names, hours=percents(most=40))
material_lines = st.builds(
    MaterialLine,
    name=names,
    family=names,
    quantity=st.just("1"),
    cost=st.decimals(0, 900, places=4),
    markup_percent=percents(most=60),
)
bought_lines = st.builds(
    BoughtLine, name=names, cost=cents(most=30_000), markup_percent=percents(most=20)
)
beside_lines = st.builds(
    BesideLine, name=names, cost=cents(most=30_000), markup_percent=percents(most=20), tax=RATES
)
own_lines = st.builds(OwnLine, name=names, amount=cents(most=30_000))
bases = st.builds(
    PriceBasis,
    stages=st.lists(stages, max_size=5).map(tuple),
    materials=st.lists(material_lines, max_size=6).map(tuple),
    outside_work=st.lists(bought_lines, max_size=2).map(tuple),
    own_lines=st.lists(own_lines, max_size=2).map(tuple),
    failures=st.lists(RISKS, max_size=2).map(tuple),
    packing=st.lists(bought_lines, max_size=2).map(tuple),
    shipping=st.lists(bought_lines, max_size=2).map(tuple),
    beside=st.lists(beside_lines, max_size=3).map(tuple),
)
policies = st.builds(
    PricingFigures,
    shop_rate=cents(most=20_000),
    contingency_percent=percents(most=30),
    rush_percent=percents(most=30),
    fee=st.builds(
        PaymentFee, percent=percents(most=5), fixed=cents(most=60), payments=st.integers(1, 4)
    ),
    dealer_percent=percents(most=50),
    price_step=st.sampled_from(["0", "0.50", "1", "5", "10", "50"]).map(Decimal),
    step_with_tax=st.booleans(),
    tax=RATES,
    shipping_tax=st.none() | RATES,
)


@given(basis=bases, policy=policies)
def test_every_total_is_the_sum_of_the_lines_shown(basis, policy):
    sheet = build_price(basis, policy)
    for figure in walk(sheet.steps):
        assert not figure.parts or total(figure.parts) == figure.amount
        assert figure.amount % Decimal("0.01") == 0
    assert total(sheet.steps) == sheet.net
    assert sheet.net + sheet.tax + sheet.document.rounding == sheet.gross
    assert sheet.subtotal <= sheet.price < sheet.subtotal + (policy.price_step or 1)


@given(basis=bases, policy=policies)
def test_fees_and_the_dealer_take_nothing_from_the_maker(basis, policy):
    sheet = build_price(basis, policy)
    wanted = sheet.subtotal - sheet.amount("fees") - sheet.amount("dealer")
    kept = sheet.net - fee_on(sheet.gross, policy.fee)
    assert kept >= wanted + sheet.amount("shipping") + sheet.amount("beside")


@given(basis=bases, policy=policies)
def test_a_price_without_a_step_leaves_exactly_what_was_wanted(basis, policy):
    unrounded = PricingFigures(
        shop_rate=policy.shop_rate,
        fee=policy.fee,
        dealer_percent=policy.dealer_percent,
        tax=policy.tax,
    )
    sheet = build_price(basis, unrounded)
    wanted = sheet.subtotal - sheet.amount("fees") - sheet.amount("dealer")
    apart = sheet.amount("shipping") + sheet.amount("beside")
    assert sheet.net - fee_on(sheet.gross, policy.fee) == wanted + apart


def test_a_sheet_whose_steps_are_not_its_documents_net_cannot_exist():
    sheet = quoted()
    with pytest.raises(ValueError, match=r"The steps come to 3080\.00 net, not 3140\.00"):
        replace(sheet, additions=())
