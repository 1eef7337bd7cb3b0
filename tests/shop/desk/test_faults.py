import pytest
from django.test import RequestFactory

from shop.desk.pages.faults import broken


@pytest.mark.parametrize("path", ["/api/v1/no-such-thing/", "/api/v1/builds/x/y/z/"])
def test_an_address_of_the_api_without_anything_is_told_as_a_problem(phone, path):
    answer = phone.get(path)
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")
    assert answer.json()["detail"] == "There is nothing at this address."


def test_a_missing_page_is_told_on_a_page(desk):
    answer = desk.get("/no-such-page/")
    assert answer.status_code == 404
    assert answer.templates[0].name == "404.html"


@pytest.mark.parametrize(
    ("path", "kind"),
    [("/api/v1/builds/", "application/problem+json"), ("/builds/", "text/html; charset=utf-8")],
    ids=["api", "page"],
)
def test_a_fault_of_the_program_is_told_where_it_was_asked(path, kind):
    answer = broken(RequestFactory().get(path))
    assert (answer.status_code, answer["Content-Type"]) == (500, kind)
