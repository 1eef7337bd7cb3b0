import pytest

from inventory.base.api.problems import problem_response
from inventory.models import Place

pytestmark = [pytest.mark.urls("tests.inventory.places_api"), pytest.mark.django_db]


def test_a_refusal_is_a_problem_of_one_sentence_with_its_field(phone):
    answer = phone.post("/refuse/", {})
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json() == {
        "type": "/api/v1/guide/#refused",
        "title": "Conflict",
        "status": 409,
        "detail": "The drawer is stuck. Pull harder.",
        "errors": [{"field": "name", "detail": "The drawer is stuck. Pull harder."}],
    }


def test_bad_input_names_the_field(phone):
    problem = phone.post("/places/", {"name": ""}).json()
    assert problem["errors"] == [{"field": "name", "detail": "This is empty: fill it in."}]
    assert problem["detail"] == "name: This is empty: fill it in."


def test_what_is_not_there_is_a_problem(phone):
    answer = phone.get("/places/99/")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")
    assert answer.json()["detail"] == "There is no such thing here."


def test_a_body_that_breaks_off_is_told_where(phone):
    answer = phone.post("/places/", '{"name": "att', content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["detail"] == (
        "The request is not valid JSON: it can't be read beyond line 1, character 10."
    )


DEEP = 20_000


@pytest.mark.parametrize(
    "body",
    ['{"name":' * DEEP + "1" + "}" * DEEP, "[" * 40 + "]" * 40],
    ids=["beyond what can be read", "deeper than any request"],
)
def test_a_body_nested_too_deep_is_refused(phone, body):
    answer = phone.post("/places/", body, content_type="application/json")
    assert answer.status_code == 400
    assert "more than 20 levels deep" in answer.json()["detail"]


@pytest.mark.parametrize("body", [r'{"name": "\ud83c"}', r'{"na\udfffme": [["x"]]}'])
def test_half_a_character_is_refused(phone, body):
    answer = phone.post("/places/", body, content_type="application/json")
    assert answer.status_code == 400
    assert "half a character" in answer.json()["detail"]


def test_a_whole_character_of_two_halves_is_kept(phone):
    body = r'{"name": "\ud83c\udfbb"}'
    assert phone.post("/places/", body, content_type="application/json").status_code == 201
    assert Place.objects.get().name == "🎻"


def test_a_stranger_is_told_to_sign_in(client, workshop):
    answer = client.get("/places/")
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"].startswith("Token")


def test_a_looker_on_reads_and_changes_nothing(looker_on, client):
    client.force_login(looker_on)
    assert client.get("/places/").status_code == 200
    assert client.post("/places/", {"name": "attic"}).status_code == 403
    assert not Place.objects.exists()


def test_a_number_beyond_the_database_is_said_to_be_too_large():
    answer = problem_response(OverflowError("int too large"), {})
    assert answer.status_code == 400
    assert answer.data["detail"] == ("A number or date in the request is too large or too small.")
