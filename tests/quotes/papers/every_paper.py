"""Each paper that the workshop sends, printed from one commission with a long specification."""

from decimal import Decimal

from inventory.models import Workshop
from quotes.changes.documents import confirmation_paper
from quotes.changes.services import offer_change, record_change_decision
from quotes.client_page.documents import acceptance_paper
from quotes.client_page.services.answers import accept_by_link
from quotes.client_page.services.links import create_link
from quotes.closing.documents import certificate_paper
from quotes.invoicing.documents import receipt_paper, statement_paper
from quotes.invoicing.queries.invoices import statement_of
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.papers.documents.printing import print_paper
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row
from shop.builds.documents import print_job_card
from shop.builds.queries.job_card import job_card_of
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

LONG = "\n".join(
    f"{place}. Scale 352 mm, nut 29 mm, neck in a soft V, finish thin and warm."
    for place in range(90)
)


SIZES = {"NL": (595, 842), "US": (612, 792)}
"""Country → the size of its papers in points: A4 and Letter."""


def in_country(shop, country):
    """Return the workshop, moved to a country and registered for tax."""
    Workshop.objects.update(country=country, tax_registered=True)
    shop.refresh_from_db()
    return shop


def every_paper(shop):
    """Each paper by its name, from one commission with a long specification."""
    template = make_template("Little mandolin")
    scroll = template.options.create(name="Scroll")
    make_template_stage(template, "Carve", hours=("2", "33.3", "80"))
    make_template_stage(template, "Carve scroll", hours=("2", "10", "80"), option=scroll)
    make_template_line(template, "Top", cost_likely=Decimal(80))
    client = make_client(address="3 Duck Row\nNether Puddle", tax_number="NL004495445B01")
    quote = make_quote(make_commission(client), template, on=TODAY, specification=LONG)
    add_row(quote=quote, of="extra", name="Case", cost=Decimal(99), tax_kind="Z")
    quote = edit_quote(quote=quote, offered=["Scroll"])
    issued = issue_quote(quote=quote, on=TODAY, now=NOW)
    secret = create_link(quote=issued, expires_on=TODAY, on=TODAY, now=NOW).secret
    yes = {"name": "Osric Pondweed", "dated": TODAY, "wanted": None}
    decision = accept_by_link(secret=secret, on=TODAY, now=NOW, **yes).decision
    quote, build = decision.quote, decision.quote.build
    asked = {"title": "Wider nut", "price": Decimal(45), "words": "Nut 31 mm.", "days_added": 2}
    change = offer_change(quote=quote, on=TODAY, **asked)
    change = record_change_decision(change=change, agreed=True, now=NOW, by="Osric")
    invoice = issue_invoice(quote=quote, part=0, on=TODAY)
    note = credit_invoice(invoice=invoice, on=TODAY, why="a favour", amount=Decimal("10.01"))
    paid = {"client": client, "invoice": invoice, "amount": Decimal(100)}
    payment = record_payment(received_on=TODAY, now=NOW, **paid)
    rows = statement_of(client, "EUR", TODAY, TODAY)
    printed = {
        "acceptance": acceptance_paper(decision),
        "confirmation": confirmation_paper(quote, TODAY),
        "receipt": receipt_paper(payment),
        "statement": statement_paper(client, "EUR", rows, TODAY, TODAY),
        "certificate": certificate_paper(build),
    }
    kept = {"quote": quote, "change": change, "invoice": invoice, "credit note": note}
    return {
        **{name: bytes_of(row) for name, row in kept.items()},
        **{
            name: print_paper(f"quotes/papers/{name}.html", paper, made_on=f"{TODAY}")
            for name, paper in printed.items()
        },
        "job card": print_job_card(job_card_of(build, TODAY), shop, TODAY),
    }


def bytes_of(row):
    with row.document.open() as document:
        return document.read()
