"""How the demo workshop prices: its policy, and the year that its shop rate comes from."""

from decimal import Decimal

from quotes.models import PricingPolicy
from quotes.pricing.services import set_policy
from quotes.shop_rate.services import plan_year, use_shop_rate

TERMS = "\n".join(
    (
        "The deposit books your place in the queue; from that day the wood is reserved for you.",
        "Change orders are agreed in writing and paid in advance. The price holds until delivery.",
        "The instrument leaves the shop when the balance is paid.",
        "Workmanship is guaranteed for two years.",
    )
)

OVERHEADS = (
    ("Rent", 5400),
    ("Insurance", 900),
    ("Heat, light, dehumidifying", 1900),
    ("Hand tools, blades, sharpening", 1600),
    ("Wear of machines", 1500),
    ("Consumables that go to no job", 900),
    ("Phone, web, bookkeeping", 1000),
    ("Fairs, travel, photographs", 800),
    ("Dues and training", 400),
)
"""14,400 a year: over 1,104 billable hours, with pay of 30,000 and 10 % margin, 45 an hour."""


def set_demo_policy() -> PricingPolicy:
    """Plan the year, take its rate over, and return the policy."""
    plan_year(
        overheads=[(name, Decimal(yearly)) for name, yearly in OVERHEADS],
        weeks=Decimal(46),
        weekly_hours=Decimal(40),
        billable_share=Decimal("0.60"),
        wanted_pay=Decimal(30000),
        profit_margin=Decimal("0.10"),
    )
    set_policy(
        material_markup=Decimal("0.25"),
        contingency=Decimal("0.10"),
        price_step=Decimal(10),
        tax_rate=Decimal("0.20"),
        parts="30 30 40",
        terms=TERMS,
        iban="NL64 TURN 0000 1234 56",
        account_holder="Posy Thimblewick",
    )
    return use_shop_rate()
