"""The demo workshop's books: two invented clients and their commissions in several states."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from inventory.models import Material, Workshop
from quotes.models import Client, Quote
from quotes.services.accept_quote import accept_quote
from quotes.services.add_client import add_client
from quotes.services.add_row import add_row
from quotes.services.change_quote import change_quote
from quotes.services.copy_quote import copy_quote
from quotes.services.decline_quote import decline_quote
from quotes.services.draft_quote import draft_quote
from quotes.services.issue_quote import issue_quote
from quotes.services.lapse_quotes import lapse_quotes
from quotes.services.open_commission import open_commission
from quotes.services.revise_quote import revise_quote
from quotes.services.set_policy import set_policy
from shop.models import BuildTemplate

ELECTRIC = "Chambered electric mandolin"
CARVED = "Carved-top mandolin"
GUITAR = "Flat-top guitar"
TERMS = """The deposit books your place in the queue; from that day the wood is put aside for you.
Changes are agreed in writing and paid ahead. The price holds until the instrument is delivered.
The instrument leaves the shop when the balance is paid. Workmanship is looked after for two
years."""


@dataclass(frozen=True, slots=True)
class Days:
    """Days of the demo, counted back from the day it is loaded."""

    now: datetime
    today: date

    def ago(self, days: int) -> tuple[date, datetime]:
        """Return the day and the instant `days` ago."""
        return self.today - timedelta(days=days), self.now - timedelta(days=days)


def fill_books(*, on: date, now: datetime) -> list[Quote]:
    """Add the policy, the clients and their quotes; return the quotes."""
    days = Days(now, on)
    set_policy(
        shop_rate=Decimal(45),
        material_markup=Decimal("0.25"),
        contingency=Decimal("0.10"),
        price_step=Decimal(10),
        tax_rate=Decimal("0.20"),
        parts="30 30 40",
        terms=TERMS,
    )
    osric = add_client(
        name="Osric Pondweed",
        email="osric@pondweed.example",
        address="3 Duck Row\nNether Puddle",
        country=Workshop.objects.get().country,
        note="Plays in the Thursday band; small hands, likes a slim neck.",
    )
    lune = add_client(
        name="Lune Farthing-Quill",
        kind=Client.Kind.PLAYER,
        email="lune@farthing-quill.example",
        address="17 Heron Steps\nFar Quay",
        country="US",
        currency="USD",
    )
    return [
        _accepted(osric, days),
        _issued_abroad(lune, days),
        _lapsing(osric, days),
        _declined(lune, days),
        _lapsed_and_revised(osric, days),
        _draft(lune, days),
    ]


def _begin(client: Client, template: str, asked: date, title: str = "") -> Quote:
    pattern = BuildTemplate.objects.get(name=template)
    commission = open_commission(client=client, title=title or template, asked_on=asked)
    return draft_quote(commission=commission, template=pattern, on=asked, title=title)


def _accepted(osric: Client, days: Days) -> Quote:
    on, then = days.ago(40)
    quote = change_quote(
        quote=_begin(osric, ELECTRIC, on),
        shipping=Decimal(60),
        specification=(
            "Chambered body in light hardwood, figured cap, natural finish.\n"
            "Scale 350 mm, nut 30 mm, slim neck.\nOne magnetic pickup, volume and tone."
        ),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    later, at = days.ago(33)
    return accept_quote(quote=issued, on=later, now=at, by="Osric Pondweed").quote


def _issued_abroad(lune: Client, days: Days) -> Quote:
    on, then = days.ago(9)
    quote = change_quote(
        quote=_begin(lune, ELECTRIC, on, "Chambered electric mandolin in walnut"),
        shipping=Decimal(140),
        currency="USD",
        exchange_rate=Decimal("1.17"),
        exchange_rate_on=on,
        client_step=Decimal(5),
    )
    return issue_quote(quote=quote, on=on, now=then)


def _lapsing(osric: Client, days: Days) -> Quote:
    on, then = days.ago(26)
    quote = _begin(osric, CARVED, on, "Carved mandolin with a sunburst")
    add_row(quote=quote, kind="extra", name="Sunburst", cost=Decimal(180))
    return issue_quote(quote=change_quote(quote=quote, shipping=Decimal(60)), on=on, now=then)


def _declined(lune: Client, days: Days) -> Quote:
    on, then = days.ago(80)
    quote = change_quote(
        quote=_begin(lune, GUITAR, on, "Small-bodied guitar"),
        currency="USD",
        exchange_rate=Decimal("1.15"),
        exchange_rate_on=on,
        client_step=Decimal(5),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    _, later = days.ago(70)
    return decline_quote(
        quote=issued, now=later, by="Lune Farthing-Quill", reason="Wants a mandolin after all."
    )


def _lapsed_and_revised(osric: Client, days: Days) -> Quote:
    on, then = days.ago(75)
    quote = _begin(osric, GUITAR, on, "Guitar for the younger Pondweed")
    issued = issue_quote(quote=quote, on=on, now=then)
    lapsed_on, at = days.ago(40)
    lapse_quotes(on=lapsed_on, now=at)
    for material in Material.objects.filter(name__icontains="tuner")[:1]:
        material.replacement_price = (material.replacement_price or Decimal(0)) + Decimal(9)
        material.save(update_fields=["replacement_price"])
    return revise_quote(quote=issued, on=days.today)


def _draft(lune: Client, days: Days) -> Quote:
    on, _ = days.ago(2)
    last = Quote.objects.filter(template__name=CARVED).first()
    commission = open_commission(client=lune, title="Second carved mandolin", asked_on=on)
    if last is None:
        return _begin(lune, CARVED, on)
    return copy_quote(quote=last, commission=commission, on=on, title="Second carved mandolin")
