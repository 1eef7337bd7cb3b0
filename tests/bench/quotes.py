"""A quote of 60 lines: priced, issued, and its PDF beside the renderer alone."""

from datetime import UTC, date, datetime
from decimal import Decimal

from inventory.models import Family, KeptAs, Workshop
from quotes.models import Client, Commission, Quote, QuoteMaterial, QuoteStage
from quotes.papers.documents.printing import STYLE, paper_html, print_paper
from quotes.papers.documents.quote import quote_paper
from quotes.pricing.queries.offer import live_offer
from quotes.quoting.services.draft import draft_quote
from quotes.quoting.services.issue import issue_quote
from tests.bench.timing import Row, median_of, medians_of
from tests.factories import make_material

ON = date(2027, 3, 2)
NOW = datetime(2027, 3, 2, 9, 0, tzinfo=UTC)
LINES, STAGES = 60, 18
ISSUES, WARM_UPS = 5, 2
PAPER = "quotes/papers/quote.html"


def bench() -> list[Row]:
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    quote = make_quote()
    drafts = [make_quote() for _ in range(ISSUES + WARM_UPS)]
    rows = [
        Row(what="a quote of 60 lines priced", seconds=median_of(lambda: live_offer(quote, on=ON))),
        Row(
            what="a quote of 60 lines issued, its PDF written",
            seconds=median_of(
                lambda: issue_quote(quote=drafts.pop(), on=ON, now=NOW), ISSUES, WARM_UPS
            ),
        ),
    ]
    issued = issue_quote(quote=quote, on=ON, now=NOW)
    return [*rows, pdf_row(issued)]


def make_quote() -> Quote:
    """A draft of 60 materials, each of the shop's own, and 18 stages."""
    client = Client.objects.get_or_create(name="Osric Pondweed")[0]
    commission = Commission.objects.create(client=client, title="Mandolin", asked_on=ON)
    quote = draft_quote(commission=commission, on=ON)
    Quote.objects.filter(pk=quote.pk).update(
        specification="\n".join(f"Part {number}: as agreed." for number in range(LINES))
    )
    family = Family.objects.get_or_create(name="Hardware")[0]
    for place in range(LINES):
        QuoteMaterial.objects.create(
            quote=quote,
            position=place,
            name=f"part {place}",
            family=family,
            material=make_material(kept_as=KeptAs.COUNT, family=family),
            quantity=Decimal(place + 1),
            unit="ea",
        )
    for place in range(STAGES):
        QuoteStage.objects.create(quote=quote, position=place, name=f"stage {place}", hours=5)
    quote.refresh_from_db()
    return quote


def pdf_row(quote: Quote) -> Row:
    """Our PDF beside the same HTML and the same style sheet through WeasyPrint alone."""
    from weasyprint import CSS, HTML

    paper = quote_paper(quote, live_offer(quote, on=ON))
    html = paper_html(PAPER, paper, made_on=f"{ON}")
    sheet = STYLE.read_text()
    ours, bare = medians_of(
        lambda: print_paper(PAPER, paper, made_on=f"{ON}"),
        lambda: HTML(string=html).write_pdf(
            stylesheets=[CSS(string=sheet)], pdf_variant="pdf/ua-1"
        ),
    )
    return Row(
        what="the PDF of that quote",
        seconds=ours,
        against="the same HTML through WeasyPrint alone",
        bare=bare,
        wanted=1.15,
    )
