"""Loading old sheets on a page and over the API: look first, settle names, load, take back."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shop.models import Build, OldSheet
from tests.shop.past_builds import make_pattern

pytestmark = pytest.mark.django_db
ROWS = "Serial;Finished;Carve top;Lacquer\nM-01;4.3.2018;16,5;7\nM-02;2019;15;x\n"


@pytest.fixture
def pattern(workshop):
    return make_pattern()


def first_page(desk, pattern, **given):
    return desk.post(reverse("old_hours", args=[pattern.pk]), given)


def again(desk, pattern, html, **chosen):
    """Send the form that a page shows, with some choices changed."""
    fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', html))
    fields = {name: value.replace("&quot;", '"') for name, value in fields.items()}
    for name, options in re.findall(r'<select name="([^"]+)".*?>(.*?)</select>', html, re.DOTALL):
        found = re.search(r'value="([^"]*)" selected', options)
        fields[name] = found.group(1) if found else ""
    return desk.post(reverse("old_hours_reading", args=[pattern.pk]), fields | chosen)


def test_a_file_is_shown_before_anything_is_written(desk, pattern):
    file = SimpleUploadedFile("old.csv", ROWS.encode())
    html = first_page(desk, pattern, file=file).content.decode()
    assert "old.csv: 2 rows. Nothing is saved yet." in html
    assert "choose one" in html
    assert "Load 1 build" not in html
    assert not Build.objects.exists()


def test_a_name_is_settled_and_the_sheet_loaded(desk, pattern):
    html = first_page(desk, pattern, pasted=ROWS).content.decode()
    finish = pattern.stages.get(name="Finish")
    html = again(desk, pattern, html, use_1=f"stage:{finish.pk}").content.decode()
    assert "Row 3: Lacquer: “x” is not a time worked" in html
    assert "Load 1 build" in html
    assert not Build.objects.exists()
    answer = again(desk, pattern, html, load="1")
    assert answer.url == reverse("template_hours", args=[pattern.pk])
    undo = reverse("old_hours_take_back", args=[OldSheet.objects.get().pk])
    assert undo in desk.get(answer.url).content.decode()
    assert list(Build.objects.values_list("serial", flat=True)) == ["M-01"]
    assert Build.objects.get().stages.get(name="Finish").template_stage == finish


def test_columns_can_be_chosen(desk, pattern):
    html = first_page(desk, pattern, pasted="Wann;Was\n2019;M-01\n").content.decode()
    assert "Load 1 build" not in html
    rows = "Wann;Was;Finish\n2019;M-01;6"
    html = first_page(desk, pattern, pasted=rows).content.decode()
    chosen = {"column_build": "1", "column_finished": "0"}
    html = again(desk, pattern, html, **chosen).content.decode()
    assert "Load 1 build" in html


def test_loading_with_open_names_is_refused_on_the_page(desk, pattern):
    html = first_page(desk, pattern, pasted=ROWS).content.decode()
    answer = again(desk, pattern, html, load="1")
    assert answer.status_code == 409
    assert "First choose the stage for “Lacquer”" in answer.content.decode()


@pytest.mark.parametrize(
    ("given", "words", "status"),
    [
        ({}, "Choose a file, or paste rows.", 422),
        ({"pasted": "x"}, "There is no table in it", 409),
    ],
)
def test_what_is_no_sheet_is_told(desk, pattern, given, words, status):
    answer = first_page(desk, pattern, **given)
    assert answer.status_code == status
    assert words in answer.content.decode()


@pytest.mark.parametrize(
    "chosen",
    [{"sheet": "broken"}, {"column_build": "77"}, {"undated": "soon"}, {"use_0": "stage:x"},
     {"width": "x"}],
    ids=lambda chosen: next(iter(chosen)),
)  # fmt: skip
def test_a_form_that_was_tampered_with_does_no_harm(desk, pattern, chosen):
    html = first_page(desk, pattern, pasted=ROWS).content.decode()
    assert again(desk, pattern, html, **chosen).status_code in {200, 302}
    assert not Build.objects.exists()


def test_a_load_is_listed_and_taken_back(desk, pattern):
    html = first_page(desk, pattern, pasted=ROWS).content.decode()
    again(desk, pattern, html, use_1="out", load="1")
    page = reverse("old_hours", args=[pattern.pk])
    assert "pasted rows" in desk.get(page).content.decode()
    url = reverse("old_hours_take_back", args=[OldSheet.objects.get().pk])
    html = desk.post(url, follow=True).content.decode()
    assert "Import undone: 2 builds removed." in html
    assert not Build.objects.exists()


def test_who_only_looks_on_loads_nothing(client, looker_on, pattern):
    client.force_login(looker_on)
    assert first_page(client, pattern, pasted=ROWS).status_code == 403


def api(pattern):
    return f"/api/v1/templates/{pattern.pk}/old-hours/"


def test_the_api_reads_and_loads(phone, pattern):
    asked = {"rows": ROWS, "uses": [{"name": "Lacquer", "kind": "out"}]}
    told = phone.post(api(pattern), asked)
    assert (told.status_code, told.data["loadable"], told.data["unsettled"]) == (200, 2, [])
    assert told.data["columns"]["build"] == 0
    assert not Build.objects.exists()
    loaded = phone.post(api(pattern), asked | {"load": True})
    assert loaded.status_code == 201
    assert phone.get(api(pattern)).data[0]["builds"] == 2
    url = f"/api/v1/old-sheets/{loaded.data['loaded']}/take-back/"
    assert phone.post(url).status_code == 204
    assert not Build.objects.exists()


def test_the_api_takes_a_file_once(phone, pattern):
    def send():
        file = SimpleUploadedFile("old.csv", ROWS.replace(";x", ";7").encode())
        return phone.post(
            api(pattern), {"file": file}, format="multipart", headers={"Idempotency-Key": "old"}
        )

    first = send()
    assert first.data["unsettled"] == ["Lacquer"]
    assert [build["troubles"] for build in first.data["builds"]] == [[], []]
    assert send().data == first.data


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ({}, 400),
        ({"rows": "x"}, 409),
        ({"rows": ROWS, "load": True}, 409),
        ({"rows": ROWS, "columns": {"build": 9}}, 409),
        ({"rows": ROWS, "uses": [{"name": "Lacquer", "kind": "stage"}]}, 400),
        ({"rows": ROWS, "uses": [{"name": "Lacquer", "kind": "stage", "stage": 999999}],
          "load": True}, 409),
    ],
)  # fmt: skip
def test_the_api_refuses_what_can_not_be_meant(phone, pattern, asked, status):
    assert phone.post(api(pattern), asked).status_code == status
    assert not Build.objects.exists()
