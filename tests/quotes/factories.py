"""Valid rows of the books by plain functions."""

from datetime import date
from decimal import Decimal

from inventory.models import Material
from quotes.models import Client, Commission, PricingPolicy, Quote
from quotes.pricing.queries.offer import live_offer
from quotes.quoting.services.draft import draft_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.instruments import add_instrument
from quotes.quoting.services.rows import edit_rows
from shop.models import BuildTemplate, WasteRule
from shop.patterns.services.templates import load_starters
from tests.factories import make_family
from tests.shop.factories import make_template, make_template_line, make_template_stage

ON = date(2027, 3, 2)


def make_policy(**fields):
    values = {
        "shop_rate": Decimal(45),
        "material_markup": Decimal("0.25"),
        "contingency": Decimal("0.10"),
        "price_step": Decimal(10),
        "tax_rate": Decimal("0.20"),
    } | fields
    return PricingPolicy.objects.update_or_create(pk=1, defaults=values)[0]


def make_client(name="Osric Pondweed", **fields):
    return Client.objects.create(name=name, **fields)


def make_commission(client=None, title="Solid electric bouzouki", **fields):
    fields.setdefault("asked_on", ON)
    return Commission.objects.create(client=client or make_client(), title=title, **fields)


def make_plain_electric_bouzouki():
    """The starter of walk-through W1: listed figures are whole costs, so no waste rule."""
    load_starters()
    template = BuildTemplate.objects.get(name="Solid electric bouzouki")
    template.lines.update(waste_rule=WasteRule.NONE)
    return template


def make_machine_heads(price="65.00"):
    return Material.objects.create(
        name="machine heads, 4+4",
        family=make_family("Hardware"),
        kept_as="count",
        unit="ea",
        replacement_price=Decimal(price),
        replacement_checked_on=ON,
    )


def make_quote(commission=None, template=None, **fields):
    """A draft priced as in W1 unless told otherwise."""
    if not PricingPolicy.objects.exists():
        make_policy()
    return draft_quote(
        commission=commission or make_commission(),
        template=template or make_plain_electric_bouzouki(),
        on=fields.pop("on", ON),
        **fields,
    )


def make_pair(**fields):
    """A draft of two alike, each 10 certain hours x 45.00 and 100.00 of material + 25 %: 575.00.

    The second saves `batch_saving` of its hours; `fields` are set for the order.
    """
    make_policy(price_step=Decimal(0), contingency=Decimal(0))
    saving = fields.pop("batch_saving", Decimal(0))
    template = make_template("Plain fiddle")
    make_template_stage(template, "Carve", hours=("0", "0", "0"))
    make_template_line(template, "top", cost_likely=Decimal(100))
    quote = draft_quote(
        commission=make_commission(), template=template, on=ON, title="Fiddle in plum"
    )
    edit_rows(quote=quote, stages={quote.stages.get().pk: {"hours": Decimal(10)}})
    add_instrument(quote=quote, on=ON, is_same=True, title="Fiddle in pear", batch_saving=saving)
    edit_quote(quote=quote, **fields)
    return Quote.objects.get(pk=quote.pk)


def sheet_now(quote):
    """The price of a quote as its rows are now."""
    return live_offer(Quote.objects.get(pk=quote.pk), on=ON).sheet
