"""An issued quote with options to choose, wood on the shelf, and a link to its client's page."""

from datetime import timedelta
from decimal import Decimal

from inventory.ledger.services.incoming import NewLine
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.changes.services import offer_change
from quotes.client_page.services.links import create_link
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY, make_material
from tests.quotes.factories import make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

SECRET_FIGURES = ("41.37", "0.2731", "27.31", "0.1193", "11.93", "17.25", "63.19")
"""A shop rate, a markup, a contingency, hours and a cost that no client's page may show."""


def make_offered_template():
    """Carving of 17.25 h on a spruce set of 63.19, and two options: one off, one on."""
    template = make_template("Little mandolin")
    scroll = template.options.create(name="Scroll and points")
    binding = template.options.create(name="Binding", is_on=True)
    make_template_stage(template, "Carve", hours=("9", "17.25", "22"))
    make_template_stage(template, "Carve scroll", hours=("20", "40", "70"), option=scroll)
    top = make_material("spruce set", kept_as="piece", replacement_price=Decimal("63.19"))
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=top, quantity=Decimal(2), price=Decimal(90))],
        now=NOW,
    )
    make_template_line(template, "top", material=top)
    make_template_line(template, "binding", cost_likely=Decimal("12.40"), option=binding)
    return template


def make_offered_quote(**fields):
    """A quote as it was sent, with both options offered."""
    make_policy(
        shop_rate=Decimal("41.37"),
        material_markup=Decimal("0.2731"),
        contingency=Decimal("0.1193"),
        tax_rate=Decimal("0.20"),
    )
    draft = make_quote(make_commission(), make_offered_template(), on=TODAY)
    fields.setdefault("offered", ["Scroll and points", "Binding"])
    draft = edit_quote(quote=draft, specification="Teardrop body, nut 29 mm.", **fields)
    return issue_quote(quote=draft, on=TODAY, now=NOW)


def make_secret(quote, days=44):
    """Make a link to a quote and return its secret."""
    expires_on = TODAY + timedelta(days=days)
    return create_link(quote=quote, expires_on=expires_on, on=TODAY, now=NOW).secret


def make_ordered_quote(quote=None):
    """The quote above as its client accepted it."""
    quote = quote or make_offered_quote()
    return accept_quote(quote=quote, on=TODAY, now=NOW, by="Osric Pondweed").quote


def make_offered_change(quote, **fields):
    """A pickup of 2.75 h and 87.39 at cost, offered for 213.00 net, three days later."""
    values = {
        "title": "Pickup under the bridge",
        "words": "A pickup under the bridge, jack at the end block.",
        "hours": Decimal("2.75"),
        "cost": Decimal("87.39"),
        "price": Decimal(213),
        "days_added": 3,
        "is_paid_ahead": True,
    }
    return offer_change(quote=quote, on=TODAY, **values | fields)


def make_change_secret(change, days=14):
    """Make a link to a change and return its secret."""
    expires_on = TODAY + timedelta(days=days)
    made = create_link(quote=change.quote, change=change, expires_on=expires_on, on=TODAY, now=NOW)
    return made.secret
