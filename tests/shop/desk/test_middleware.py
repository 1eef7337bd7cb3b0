import pytest
from django.test import RequestFactory

from shop.desk.middleware import printable_query_middleware


@pytest.mark.parametrize(
    ("address", "asked"),
    [
        ("/stock/?q=spruce%00%20top", "spruce top"),
        ("/stock/?q=100%25", "100%"),
        ("/api/v1/materials/?q=a%00b", "a\x00b"),
    ],
    ids=["dropped", "other characters stay", "the API refuses by itself"],
)
def test_a_page_is_never_asked_with_a_nul_character(address, asked):
    seen = printable_query_middleware(lambda request: request.GET["q"])
    assert seen(RequestFactory().get(address)) == asked
