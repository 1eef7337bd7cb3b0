"""A paper and its row are kept together or not at all."""

import pytest

from quotes.base.keeping import atomic_with_files, store_paper
from quotes.models import Quote
from tests.factories import TODAY
from tests.quotes.factories import make_commission

pytestmark = pytest.mark.django_db


@pytest.fixture
def quote(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    fields = {"title": "Little mandolin", "currency": "EUR", "drafted_on": TODAY}
    policy = {"shop_rate": 45, "material_markup": 0, "contingency": 0, "price_step": 0}
    return Quote.objects.create(commission=make_commission(), **fields, **policy)


def papers(tmp_path):
    return [path.read_bytes() for path in tmp_path.rglob("*.pdf")]


def test_a_paper_stays_with_its_row(quote, tmp_path):
    with atomic_with_files():
        store_paper(quote, "Q-2027-001", b"paper")
    assert papers(tmp_path) == [b"paper"]
    assert quote.document.name.endswith(f"Q-2027-001-{quote.document_sha256[:8]}.pdf")


@atomic_with_files()
def keep_and_fail(quote, *, inside):
    with atomic_with_files():
        store_paper(quote, "Q-2027-001", b"paper")
        if inside:
            raise ZeroDivisionError
    raise ZeroDivisionError


@pytest.mark.parametrize("inside", [True, False], ids=["where it was kept", "further out"])
def test_a_paper_goes_with_what_was_rolled_back(quote, tmp_path, inside):
    with pytest.raises(ZeroDivisionError):
        keep_and_fail(quote, inside=inside)
    assert papers(tmp_path) == []
