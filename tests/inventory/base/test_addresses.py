"""Addresses that a phone can open."""

import pytest

from inventory.base.addresses import is_reachable, phone_address


def asked_at(rf, host):
    return rf.get("/", headers={"host": host})


def test_a_label_opens_at_the_shops_own_address(rf, settings):
    settings.PHONE_URL = "https://shop.local:8443"
    address = phone_address(asked_at(rf, "localhost:8000"), "/bench/p/T-0412/")
    assert address == "https://shop.local:8443/bench/p/T-0412/"


def test_without_one_it_opens_where_the_page_was_asked_for(rf, settings):
    settings.PHONE_URL = ""
    settings.ALLOWED_HOSTS = ["shop.local"]
    address = phone_address(asked_at(rf, "shop.local"), "/bench/")
    assert address == "http://shop.local/bench/"


@pytest.mark.parametrize(
    ("host", "url", "reachable"),
    [
        ("localhost:8000", "", False),
        ("127.0.0.1:8000", "", False),
        ("localhost:8000", "https://shop.local:8443", True),
        ("shop.local:8000", "", True),
    ],
)
def test_a_shop_that_answers_only_itself_says_so(rf, settings, host, url, reachable):
    settings.PHONE_URL = url
    settings.ALLOWED_HOSTS = ["*"]
    assert is_reachable(asked_at(rf, host)) is reachable
