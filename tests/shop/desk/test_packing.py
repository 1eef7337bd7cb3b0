"""What is sent is packed, and not sent again to a phone that has it."""

import gzip
import json

PACKED = {"accept-encoding": "gzip"}


def test_what_is_made_of_words_is_packed_for_whoever_can_unpack_it(desk):
    plain, packed = desk.get("/stock/"), desk.get("/stock/", headers=PACKED)
    assert "Content-Encoding" not in plain
    assert packed["Content-Encoding"] == "gzip"
    assert len(packed.content) < len(plain.content) / 2
    assert b"</html>" in gzip.decompress(packed.content)


def test_a_list_that_a_phone_has_is_not_sent_again(phone):
    first = phone.get("/api/v1/places/", headers=PACKED)
    again = phone.get("/api/v1/places/", headers=PACKED | {"if-none-match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    phone.post("/api/v1/places/", {"name": "Attic"})
    changed = phone.get("/api/v1/places/", headers=PACKED | {"if-none-match": first["ETag"]})
    assert changed.status_code == 200
    assert "Attic" in json.dumps(changed.json())


def test_a_version_to_be_named_in_a_change_is_left_to_the_letter(phone):
    place = phone.post("/api/v1/places/", {"name": "Attic"}).json()
    read = phone.get(f"/api/v1/places/{place['id']}/", headers=PACKED)
    assert not read["ETag"].startswith("W/")
    done = phone.patch(
        f"/api/v1/places/{place['id']}/", {"name": "Loft"}, headers={"if-match": read["ETag"]}
    )
    assert done.status_code == 200
