"""Nothing breaks a client that was written to the released description, or a dated note says so."""

import re
from copy import deepcopy
from datetime import date

import pytest

from tests.api_shape import NOTES, breaking, noted, released, short, today, written

ACCEPTED = {"application/json": {"schema": {"$ref": "#/components/schemas/DrawRequest"}}}
ANSWERED = {"application/json": {"schema": {"$ref": "#/components/schemas/Draw"}}}
DESCRIPTION = {
    "paths": {
        "/draws/": {
            "post": {
                "operationId": "draws_create",
                "parameters": [
                    {"in": "query", "name": "day", "schema": {"type": "string", "format": "date"}}
                ],
                "requestBody": {"content": ACCEPTED},
                "responses": {"200": {"content": ANSWERED}, "409": {}},
            }
        }
    },
    "components": {
        "schemas": {
            "Why": {"type": "string", "enum": ["broke", "lost"]},
            "DrawRequest": {
                "type": "object",
                "required": ["quantity"],
                "properties": {
                    "quantity": {"type": "string", "format": "decimal"},
                    "note": {"type": ["string", "null"]},
                },
            },
            "Draw": {
                "type": "object",
                "required": ["id", "lots"],
                "properties": {
                    "id": {"type": "integer"},
                    "lots": {"type": "array", "items": {"type": ["string", "null"]}},
                    "why": {"$ref": "#/components/schemas/Why"},
                },
            },
        }
    },
}
POST = "post /draws/"


def at(path):
    """Return what changes one place of a description: `path` and then its new value."""
    *way, name, value = path

    def change(description):
        part = description
        for step in way:
            part = part[step]
        if value is None:
            del part[name]
        else:
            part[name] = value

    return change


OPERATION = ("paths", "/draws/", "post")
SHAPES = ("components", "schemas")
ASKED, ANSWER = (*SHAPES, "DrawRequest"), (*SHAPES, "Draw")
DAY = {"in": "query", "name": "day", "schema": {"type": "string", "format": "date"}}


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("paths", "/draws/", None), f"{POST}: gone"),
        ((*OPERATION, "operationId", "draw"), f"{POST}: named draw, was draws_create"),
        ((*OPERATION, "parameters", []), f"{POST} parameter query day: gone"),
        (
            (*OPERATION, "parameters", [DAY | {"required": True}]),
            f"{POST} parameter query day: required now",
        ),
        (
            (*OPERATION, "parameters", [DAY, DAY | {"name": "by", "required": True}]),
            f"{POST} parameter query by: new and required",
        ),
        ((*OPERATION, "requestBody", None), f"{POST} body application/json: gone"),
        ((*OPERATION, "responses", "200", None), f"{POST} answer 200 application/json: gone"),
        ((*SHAPES, "Why", "enum", ["broke"]), 'Why: "broke", was "broke"|"lost"'),
        ((*ASKED, "properties", "note", None), "DrawRequest.note: gone"),
        (
            (*ASKED, "properties", "note", {"type": "string"}),
            "DrawRequest.note: string, was null|string",
        ),
        ((*ASKED, "required", ["quantity", "note"]), "DrawRequest.note: required now"),
        ((*ANSWER, "properties", "id", None), "Draw.id: gone"),
        ((*ANSWER, "properties", "id", {"type": "string"}), "Draw.id: string!, was integer!"),
        (
            (*ANSWER, "properties", "id", {"type": ["integer", "null"]}),
            "Draw.id: integer|null!, was integer!",
        ),
        ((*ANSWER, "required", ["lots"]), "Draw.id: may be missing now"),
        (
            (*ANSWER, "properties", "lots", {"type": "array", "items": {"type": "string"}}),
            "Draw.lots: [string]!, was [null,string]!",
        ),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_what_breaks_a_client_is_told(change, told):
    changed = deepcopy(DESCRIPTION)
    at(change)(changed)
    assert breaking(short(DESCRIPTION), short(changed)) == [told]


def test_a_new_field_that_must_be_sent_breaks_a_client():
    changed = deepcopy(DESCRIPTION)
    asked = changed["components"]["schemas"]["DrawRequest"]
    asked["properties"]["holder"] = {"type": "string"}
    assert breaking(short(DESCRIPTION), short(changed)) == []
    asked["required"] = ["quantity", "holder"]
    assert breaking(short(DESCRIPTION), short(changed)) == ["DrawRequest.holder: new and required"]


@pytest.mark.parametrize(
    "change",
    [
        ("paths", "/scraps/", DESCRIPTION["paths"]["/draws/"]),
        (*SHAPES, "Why", "enum", ["broke", "lost", "split"]),
        (*ANSWER, "properties", "note", {"type": "string"}),
        (*ANSWER, "required", ["id", "lots", "why"]),
        (*ASKED, "required", []),
        (*ASKED, "properties", "quantity", {"type": ["string", "null"], "format": "decimal"}),
    ],
    ids=["operation", "choice", "answered field", "always there", "optional", "null taken"],
)
def test_what_is_added_breaks_no_client(change):
    changed = deepcopy(DESCRIPTION)
    at(change)(changed)
    assert breaking(short(DESCRIPTION), short(changed)) == []


def test_a_note_is_read_with_its_day_and_without_its_reason():
    text = "# heading\n\n2027-03-02 Draw.id: gone  # numbers say more\n"
    assert noted(text) == {"Draw.id: gone": "2027-03-02"}


def test_the_released_description_still_holds_but_for_what_is_noted():
    broken = set(breaking(released(), today()))
    notes = noted(NOTES.read_text())
    assert broken - notes.keys() == set(), "a client of the released API breaks: see DEVELOPERS.md"
    assert notes.keys() - broken == set(), "a note tells of a change that there is not"


def test_every_note_says_when_and_why():
    notes = [one for one in NOTES.read_text().splitlines() if one and not one.startswith("#")]
    assert [one for one in notes if not re.fullmatch(r"\d{4}-\d\d-\d\d \S.*  # \S.*", one)] == []
    for day in noted(NOTES.read_text()).values():
        assert date.fromisoformat(day)


def test_the_released_description_is_written_as_it_is_read():
    text = written(released())
    assert text == (NOTES.parent / "v1.json").read_text()
    assert len(released()["operations"]) > 300
