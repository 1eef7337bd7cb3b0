"""Where the goods of an invoice go, and when."""

from datetime import date

from django.utils import timezone

from inventory.countries import country_name, is_country
from inventory.models import Workshop
from inventory.refusals import Refusal
from quotes.documents.structured import Delivery
from quotes.models import Invoice, Quote


def delivery_of(invoice: Invoice) -> Delivery | None:
    """Return the delivery that an invoice names, None where it names none.

    Before the goods are delivered an invoice names the time of building instead: from the order to
    the promised day.
    """
    if not (invoice.delivered_on or invoice.deliver_to):
        return None
    since, until = (None, None) if invoice.delivered_on else _time_of_building(invoice)
    return Delivery(
        country=invoice.deliver_to, delivered_on=invoice.delivered_on, since=since, until=until
    )


def delivery_words(delivery: Delivery) -> str:
    """Say it on a paper."""
    to = f" to {country_name(delivery.country)}" if delivery.country else ""
    if delivery.delivered_on:
        return f"Delivered{to} on {_day(delivery.delivered_on)}"
    if delivery.until:
        return f"For delivery{to}, about {_day(delivery.until)}"
    return f"For delivery{to}"


def country_of_delivery(quote: Quote, said: str) -> str:
    """Return the country that the goods of an invoice go to: as said, or as the tax asks.

    Raises Refusal for what is no country, and where an intra-community supply lacks what it must
    name (BR-IC-02, BR-IC-12).
    """
    is_union_supply = quote.tax_kind == Quote.TaxKind.INTRA_COMMUNITY
    if is_union_supply:
        _check_numbers(quote)
        said = said or quote.commission.client.country
    country = said.upper()
    if (country or is_union_supply) and not is_country(country):
        raise Refusal("Give the country that the goods go to, by two letters.", field="deliver_to")
    return country


def _check_numbers(quote: Quote) -> None:
    client = quote.commission.client
    if not Workshop.objects.values_list("tax_number", flat=True).get():
        raise Refusal(
            "An intra-community supply names both tax numbers. Enter the workshop's own first."
        )
    if not client.tax_number:
        raise Refusal(
            f"An intra-community supply names both tax numbers. Enter {client}'s on the client's "
            "page first."
        )


def _time_of_building(invoice: Invoice) -> tuple[date, date]:
    quote = invoice.quote
    ordered = timezone.localtime(quote.decided_at).date() if quote and quote.decided_at else None
    since = min(ordered or invoice.issued_on, invoice.issued_on)
    promised = quote.build.promised_on if quote and quote.build else None
    return since, max(promised or invoice.issued_on, invoice.issued_on)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
