"""Pages are set in faces of their own, sent from here as WOFF2 to whoever opens a page."""

from io import BytesIO

import pytest
from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse
from fontTools.ttLib import TTFont

from inventory.base.documents import WEB_CUTS

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("cut", WEB_CUTS)
def test_a_cut_is_small_and_has_figures_of_one_width(client, workshop, cut):
    answer = client.get(f"/faces/{cut}.woff2")
    assert answer["Content-Type"] == "font/woff2"
    assert answer["Cache-Control"] == "public, max-age=86400, must-revalidate"
    same = client.get(f"/faces/{cut}.woff2", headers={"If-None-Match": answer["ETag"]})
    assert (same.status_code, same.content) == (304, b"")
    other = client.get(f"/faces/{cut}.woff2", headers={"If-None-Match": '"of another package"'})
    assert other.content == answer.content
    assert len(answer.content) < 40_000
    font = TTFont(BytesIO(answer.content))
    glyphs = font.getBestCmap()
    assert {ord("é"), 0x2212, 0x20AC} <= set(glyphs)
    assert len({font["hmtx"][glyphs[ord(figure)]][0] for figure in "0123456789"}) == 1


def test_the_page_of_the_first_run_is_set_in_them_too(client):
    page = client.get(reverse("first_run"))
    assert page.status_code == 200
    assert static("shop/tokens.css") in page.text
    assert client.get("/faces/sans-400.woff2").status_code == 200


def test_there_is_no_other_cut(client, workshop):
    assert client.get("/faces/script-400.woff2").status_code == 404


def test_the_style_sheet_asks_for_the_cuts_that_there_are():
    with open(finders.find("shop/tokens.css")) as sheet:
        text = sheet.read()
    assert all(f'url("/faces/{cut}.woff2")' in text for cut in WEB_CUTS)
    assert text.count("@font-face") == len(WEB_CUTS)
