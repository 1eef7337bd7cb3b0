"""How papers look: chosen by the owner, followed by every paper from then on, never by old ones."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from inventory.base.refusals import Refusal
from quotes.models import PaperLook
from quotes.papers.calc import contrast_on_white
from quotes.papers.documents.quote import quote_pdf, sample_pdf
from quotes.papers.queries import paper_look
from quotes.papers.services import remove_logo, set_paper_look
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_quote
from tests.sweeps.demo import read

pytestmark = pytest.mark.django_db
PAGE = "/workshop/papers/"


def picture(mode="RGBA", colour=(0, 80, 0, 0)):
    written = BytesIO()
    Image.new(mode, (60, 30), colour).save(written, "PNG")
    return SimpleUploadedFile("mark.png", written.getvalue())


def fonts_of(pdf):
    """Return the faces that stand on the first page, and how many pictures."""
    resources = PdfReader(BytesIO(pdf)).pages[0]["/Resources"]
    named = {font.get_object()["/BaseFont"] for font in resources["/Font"].values()}
    return " ".join(sorted(named)), len(resources.get("/XObject", {}))


# WCAG 2.2's own definition: black on white is 21, white on white 1; #767676 is the grey that
# its sufficient technique G18 gives as just enough (4.54).
@pytest.mark.parametrize(
    ("colour", "contrast"), [("#000000", 21), ("#ffffff", 1), ("#767676", 4.54)]
)
def test_contrast_is_that_of_the_guidelines(colour, contrast):
    assert contrast_on_white(colour) == pytest.approx(contrast, abs=0.005)


@pytest.mark.parametrize(
    ("asked", "sentence", "field"),
    [
        ({"accent": "#ffe9a0"}, "too pale to read on white", "accent"),
        ({"accent": "#777777"}, "too pale to read on white", "accent"),
        ({"accent": "brown"}, "“brown” is not a colour", "accent"),
        ({"accent": "#12345g"}, "is not a colour", "accent"),
        ({"face": "script"}, "serif or sans", "face"),
    ],
)
def test_what_can_t_be_read_is_refused(asked, sentence, field):
    with pytest.raises(Refusal, match=sentence) as refused:
        set_paper_look(**asked)
    assert refused.value.field == field
    assert not PaperLook.objects.exists()


def test_a_paper_is_laid_out_in_the_look_of_its_day_and_keeps_it(lettered):
    sent = issue_quote(quote=make_quote(), on=TODAY, now=NOW)
    before = quote_pdf(sent, TODAY)
    set_paper_look(face="sans", accent="#1d4e5f")
    set_paper_look(logo=picture())
    assert quote_pdf(sent, TODAY) == before
    faces, pictures = fonts_of(before)
    assert "Serif" in faces
    assert pictures == 0
    faces, pictures = fonts_of(sample_pdf(sent, TODAY))
    assert "Serif" not in faces
    assert pictures == 1


def test_a_see_through_logo_stands_on_white(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    with set_paper_look(logo=picture()).logo.open() as kept, Image.open(kept) as shown:
        assert min(shown.getpixel((5, 5))) > 250


def test_a_new_logo_takes_the_place_of_the_old_one(
    settings, tmp_path, django_capture_on_commit_callbacks
):
    settings.MEDIA_ROOT = tmp_path
    with django_capture_on_commit_callbacks(execute=True):
        set_paper_look(logo=picture())
        set_paper_look(logo=picture("RGB", (0, 80, 0)))
    assert len([one for one in tmp_path.rglob("*") if one.is_file()]) == 1
    with django_capture_on_commit_callbacks(execute=True):
        remove_logo()
    assert not [one for one in tmp_path.rglob("*") if one.is_file()]
    assert not paper_look().logo


def test_the_page_takes_a_look_and_shows_it(desk, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    asked = {"face": "sans", "accent": "#1d4e5f", "logo": picture()}
    page = desk.post(PAGE, asked, follow=True).content.decode()
    assert "Saved." in page
    assert 'fill="#1d4e5f"' in page
    assert reverse("paper_logo") in page
    assert read(desk.get(reverse("paper_logo")))["Content-Type"] == "image/jpeg"
    assert "Logo deleted." in desk.post(f"{PAGE}logo/remove/", follow=True).content.decode()
    assert desk.get(reverse("paper_logo")).status_code == 404


def test_the_page_says_what_is_wrong_and_keeps_what_was_typed(desk):
    answer = desk.post(PAGE, {"face": "serif", "accent": "#ffe9a0"})
    assert answer.status_code == 409
    assert "too pale" in answer.content.decode()
    assert 'value="#ffe9a0"' in answer.content.decode()
    upload = SimpleUploadedFile("mark.png", b"no picture")
    answer = desk.post(PAGE, {"face": "serif", "accent": "#1d1a16", "logo": upload})
    assert answer.context["form"].errors["logo"] == ["This file is not a picture that can be read."]


@pytest.mark.parametrize("look", [{"accent": "#ffe9a0"}, {"face": "script"}])
def test_of_a_refused_look_nothing_is_kept(settings, tmp_path, look):
    settings.MEDIA_ROOT = tmp_path
    with pytest.raises(Refusal):
        set_paper_look(logo=picture(), **look)
    assert not PaperLook.objects.exists()
    assert not [one for one in tmp_path.rglob("*") if one.is_file()]


def test_the_picture_follows_what_is_chosen_before_it_is_saved(desk):
    drawn = desk.get(f"{PAGE}picture/", {"face": "sans", "accent": "#1d4e5f"}).content.decode()
    assert 'fill="#1d4e5f"' in drawn
    assert "Source Serif" not in drawn
    assert "too pale" in desk.get(f"{PAGE}picture/", {"accent": "#ffffff"}).content.decode()
    assert not PaperLook.objects.exists()


def test_a_sample_is_the_latest_quote(desk, lettered):
    assert desk.get(f"{PAGE}sample.pdf").status_code == 404
    make_quote()
    assert desk.get(f"{PAGE}sample.pdf").content.startswith(b"%PDF-")


def test_programs_choose_the_look_too(phone, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    address = "/api/v1/paper-look/"
    assert phone.get(address).json() == {"face": "serif", "accent": "#1d1a16", "has_logo": False}
    assert phone.get(f"{address}logo/").status_code == 404
    told = phone.post(address, {"accent": "#1d4e5f"}, format="json").json()
    assert told == {"face": "serif", "accent": "#1d4e5f", "has_logo": False}
    kept = phone.post(f"{address}logo/", {"logo": picture()}, format="multipart")
    assert kept["Content-Type"] == "application/json"
    assert kept.json()["has_logo"]
    assert read(phone.get(f"{address}logo/"))["Content-Type"] == "image/jpeg"
    assert not phone.post(f"{address}logo/remove/").json()["has_logo"]
    broken = SimpleUploadedFile("mark.png", b"no picture")
    refused = phone.post(f"{address}logo/", {"logo": broken}, format="multipart")
    assert [one["field"] for one in refused.json()["errors"]] == ["logo"]
    refused = phone.post(address, {"accent": "#ffffff"}, format="json")
    assert refused.status_code == 409
    assert "too pale" in refused.content.decode()


def test_only_the_owner_chooses(client, looker_on):
    client.force_login(looker_on)
    assert client.post(PAGE, {"face": "sans", "accent": "#1d4e5f"}).status_code == 403
    assert client.get(PAGE).status_code == 200
