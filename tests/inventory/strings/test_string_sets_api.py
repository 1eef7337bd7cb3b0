import pytest

from inventory.models import StringSet
from tests.factories import make_material

URL = "/api/v1/string-sets/"


@pytest.fixture
def asked(workshop):
    material, wound, plain = (make_material(name) for name in ("Set", "036w", "010"))
    strings = [
        {
            "single": wound.pk,
            "pitch": "G3",
            "gauge": "36",
            "grams_per_metre": "4.27948",
            "count": 2,
        },
        {"single": plain.pk, "pitch": "E5", "gauge": "10", "count": 2},
    ]
    return {"material": material.pk, "scale_mm": "350", "strings": strings}


def test_a_set_is_written_down_and_read_with_its_pull(phone, asked):
    made = phone.post(URL, asked)
    assert made.status_code == 201, made.json()
    shown = phone.get(f"{URL}{made.json()['id']}/").json()
    assert shown == made.json()
    low, high = shown["pull"]["strings"]
    assert (round(high["newtons"], 1), round(high["stress"])) == (84.7, 1672)
    assert low["stress"] is None
    assert shown["pull"]["newtons"] == pytest.approx(2 * (low["newtons"] + high["newtons"]))


def test_a_set_is_replaced_by_whoever_read_it(phone, asked):
    made = phone.post(URL, asked)
    url = f"{URL}{made.json()['id']}/"
    shorter = asked | {"strings": asked["strings"][:1]}
    assert phone.put(url, shorter).status_code == 428
    changed = phone.put(url, shorter, headers={"If-Match": made["ETag"]})
    assert (changed.status_code, len(changed.json()["singles"])) == (200, 1)
    assert phone.put(url, asked, headers={"If-Match": made["ETag"]}).status_code == 412
    other = shorter | {"material": asked["strings"][1]["single"]}
    assert phone.put(url, other, headers={"If-Match": "*"}).status_code == 400


def test_strings_are_worked_out_without_being_kept(phone, asked):
    strings = [{"pitch": "A4", "gauge": "14"}]
    found = phone.post(f"{URL}pull/", {"scale_mm": "350", "strings": strings}).json()
    assert found["newtons"] == pytest.approx(74.0, abs=0.05)
    wrong = phone.post(
        f"{URL}pull/", {"scale_mm": "350", "strings": [{"pitch": "H4", "gauge": 14}]}
    )
    assert (wrong.status_code, "is not a note" in wrong.text) == (409, True)
    assert not StringSet.objects.exists()
