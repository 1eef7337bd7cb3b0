"""Amounts on paper are set in the minor units of the paper's own currency."""

import re

import pytest

from quotes.papers.documents.printing import paper_html, print_paper
from quotes.papers.documents.quote import draft_paper
from tests.factories import TODAY
from tests.quotes.factories import make_policy, make_quote

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("currency", "places"), [("EUR", 2), ("JPY", 0)])
def test_a_paper_shows_the_places_that_its_money_has(workshop, currency, places):
    workshop.currency = currency
    workshop.save()
    make_policy()
    paper = draft_paper(make_quote(), TODAY)
    html = paper_html("quotes/papers/quote.html", paper, made_on=f"{TODAY}")
    amounts = re.findall(r'class="money"[^>]*>([^<]+)', html)
    assert amounts
    assert {len(amount.partition(".")[2]) for amount in amounts} == {places}


def test_a_draft_laid_out_twice_has_the_same_bytes(workshop, papers_anew):
    make_policy()
    paper = draft_paper(make_quote(), TODAY)
    first, second = (
        print_paper("quotes/papers/quote.html", paper, made_on=f"{TODAY}") for _ in range(2)
    )
    assert first == second
