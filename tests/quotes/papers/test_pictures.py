"""Photos of the wood that was chosen: on the quote's paper and on the client's page."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from inventory.shelf.services.records import add_photo
from quotes.papers.documents.quote import quote_pdf, wood_pictures
from quotes.quoting.services.instruments import add_instrument
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.inventory.base.test_photos import picture, upload_of
from tests.quotes.clientside import make_secret
from tests.quotes.factories import make_quote
from tests.shop.shelf_pieces import line_for, make_tops

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def quote(workshop):
    """A quote whose top is chosen, with a photo of it and another of a piece that is not."""
    tops = make_tops()
    quote = make_quote(template=line_for(tops).template, on=TODAY)
    chosen, other = tops.lots.order_by("pk")[:2]
    quote.materials.update(lot=chosen)
    for lot in (chosen, other):
        add_photo(lot=lot, upload=upload_of(picture((80, 60))), on=TODAY)
    return quote


def pictures_in(paper):
    return [image for page in PdfReader(BytesIO(paper)).pages for image in page.images]


def test_the_paper_shows_the_chosen_piece_only(quote):
    assert len(pictures_in(quote_pdf(quote, TODAY))) == 1


def test_of_several_instruments_each_has_its_wood_under_its_name(quote):
    add_instrument(quote=quote, on=TODAY, is_same=True, title="A second one")
    second = quote.further.get()
    top = quote.materials.get()
    other = top.material.lots.exclude(pk=top.lot_id).order_by("pk").first()
    second.materials.update(lot=other)
    words = [one.words for one in wood_pictures(quote)]
    assert [word.split(", ")[0] for word in words] == [quote.title, "A second one"]


def test_without_a_chosen_piece_there_is_no_picture(quote):
    quote.materials.update(lot=None)
    assert pictures_in(quote_pdf(quote, TODAY)) == []


def test_the_client_sees_it_and_nobody_without_the_link(client, quote):
    secret = make_secret(issue_quote(quote=quote, on=TODAY, now=NOW))
    assert f"/offer/{secret}/picture/1/" in client.get(f"/offer/{secret}/").text
    assert client.get(f"/offer/{secret}/picture/1/")["Content-Type"] == "image/jpeg"
    for place in ("0", "2"):
        assert client.get(f"/offer/{secret}/picture/{place}/").status_code == 404
    assert client.get("/offer/wrong/picture/1/").status_code == 404


def test_a_picture_whose_file_is_gone_is_left_out(quote):
    issued = issue_quote(quote=quote, on=TODAY, now=NOW)
    for photo in quote.materials.get().lot.photos.all():
        photo.image.storage.delete(photo.image.name)
    issued.document = ""
    assert pictures_in(quote_pdf(issued, TODAY)) == []
