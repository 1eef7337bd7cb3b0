"""A client reads an offered change on a phone or at a desk, and agrees to it."""

import pytest

from inventory.models import Workshop
from quotes.models import Change
from tests.browser.axe import faults_of
from tests.quotes.clientside import make_change_secret, make_offered_change, make_ordered_quote

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def secret(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    return make_change_secret(make_offered_change(make_ordered_quote()))


def test_a_client_agrees_to_a_change(page, secret):
    page.goto(f"/offer/change/{secret}/")
    assert faults_of(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_text("Specification so far").press("Enter")
    assert page.get_by_text("Teardrop body, nut 29 mm.").is_visible()
    page.get_by_label("Your name").first.fill("Osric Pondweed")
    with page.expect_navigation():
        page.get_by_role("button", name="I agree to this change").press("Enter")
    assert page.get_by_role("heading", name="Agreed. Thank you, Osric Pondweed.").is_visible()
    assert faults_of(page) == []
    assert Change.objects.get().state == Change.State.AGREED
