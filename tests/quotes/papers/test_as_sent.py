"""What was sent stays to the byte, whatever becomes of the shop, its prices and its clients."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.models import Material, Workshop
from quotes.changes.services import offer_change, record_change_decision
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Client, Invoice, Payment, PricingPolicy, Quote
from quotes.pricing.services import add_tax_rate, set_policy
from shop.models import BuildTemplate
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_quote, make_secret

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def addresses(workshop, client):
    """Everything that was sent, by its address: from a quote to a client's signed page."""
    quote = make_offered_quote()
    secret = make_secret(quote)
    page = f"/offer/{secret}/"
    yes = {"name": "Osric Pondweed", "dated": f"{TODAY}", "choosing": "1", "option": "Binding"}
    assert client.post(f"{page}accept/", yes).status_code == 302
    quote = Quote.objects.get(state=Quote.State.ACCEPTED)
    change = offer_change(quote=quote, title="Wider nut", price=Decimal(45), on=TODAY)
    change = record_change_decision(change=change, agreed=True, now=NOW)
    invoice = issue_invoice(quote=quote, part=0, on=TODAY)
    note = credit_invoice(invoice=invoice, on=TODAY, why="a favour", amount=Decimal(10))
    paid = {"client": quote.commission.client, "invoice": invoice, "amount": Decimal(100)}
    payment = record_payment(received_on=TODAY, now=NOW, **paid)
    return [
        page,
        f"{page}paper/",
        f"{page}signed/",
        f"/quotes/{quote.pk}/paper/",
        f"/changes/{change.pk}/paper/",
        f"/invoices/{invoice.pk}/paper/",
        f"/invoices/{note.pk}/paper/",
        f"/payments/{payment.pk}/receipt/",
        f"/api/v1/quotes/{quote.pk}/price/",
        f"/api/v1/quotes/{quote.pk}/option-prices/",
    ]


def change_everything():
    """Another shop, another client, other prices, rates, terms and patterns."""
    Workshop.objects.update(name="Parsnip Lane", address="elsewhere", tax_number="", country="US")
    Client.objects.update(name="Somebody else", address="gone", tax_number="")
    Material.objects.update(name="other wood", replacement_price=Decimal("999.00"))
    set_policy(
        shop_rate=Decimal(99),
        material_markup=Decimal("0.90"),
        terms="Other terms.",
        tax_rate=Decimal("0.25"),
        tax_name="GST",
        parts="100",
        iban="BE72 0000 0000 1616",
    )
    add_tax_rate(since=date(2020, 1, 1), rate=Decimal("0.05"))
    template = BuildTemplate.objects.get()
    template.stages.update(name="Other work", hours_high=Decimal(999))
    template.lines.update(name="Other thing", cost_likely=Decimal(1))


def test_what_was_sent_is_the_same_to_the_byte_after_everything_changed(
    desk, addresses, monkeypatch
):
    before = {address: desk.get(address).content for address in addresses}
    kept = list(Invoice.objects.values_list("frozen", "document_sha256"))
    change_everything()
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(days=20))
    after = {address: desk.get(address).content for address in addresses}
    # The name of the browser's window, where to pay to and how far the build is are of the day,
    # and no part of what was sent.
    live = re.compile(rb"<title>.*?</title>|<section data-live>.*?</section>", re.DOTALL)
    changed = [
        address
        for address in addresses
        if live.sub(b"", before[address]) != live.sub(b"", after[address])
    ]
    assert changed == []
    assert list(Invoice.objects.values_list("frozen", "document_sha256")) == kept
    assert Payment.objects.get().frozen["letterhead"]["name"] == "Turnip Hollow"
    assert PricingPolicy.objects.get().shop_rate == 99
