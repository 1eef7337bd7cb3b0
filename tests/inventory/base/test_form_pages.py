"""One door for every form: what was sent is done, refused beside its field, or asked again."""

import pytest
from django import forms
from django.http import HttpResponse
from django.test import RequestFactory

from inventory.base import pages
from inventory.base.forms import was_refused
from inventory.base.refusals import Refusal


class Sheet(forms.Form):
    length = forms.IntegerField()


Sheets = forms.formset_factory(Sheet)


@pytest.fixture
def status(monkeypatch):
    """The status that a page with this context answers with."""
    monkeypatch.setattr(pages, "render", lambda _, __, ___, status: HttpResponse("", status=status))

    def answer(**context):
        request = RequestFactory().get("/")
        return pages.render_form(request, "any.html", context).status_code

    return answer


def refused(field="length"):
    form = Sheet({"length": "3"})
    with pages.refusals_on(form):
        raise Refusal("Too long for the board.", field=field)
    return form


def test_a_form_that_nobody_sent_is_shown(status):
    assert status(form=Sheet()) == 200


def test_a_form_that_is_right_is_shown_again(status):
    assert status(form=Sheet({"length": "3"})) == 200


def test_what_cannot_be_read_is_422(status):
    assert status(form=Sheet({"length": "long"})) == 422


def test_what_is_refused_is_409_with_its_sentence_beside_the_field(status):
    form = refused()
    assert status(form=form) == 409
    assert form.errors == {"length": ["Too long for the board."]}


def test_a_refusal_of_something_that_is_no_field_stands_above_the_form():
    assert refused(field="board").non_field_errors() == ["Too long for the board."]


def test_a_sentence_beside_no_form_is_409(status):
    assert status(form=Sheet(), refusal="It is closed.") == 409


def test_any_form_of_the_page_counts(status):
    assert status(form=Sheet(), other=Sheet({"length": ""})) == 422


def test_a_row_of_a_set_of_forms_that_is_refused_counts(status):
    rows = Sheets({"form-TOTAL_FORMS": "1", "form-INITIAL_FORMS": "0", "form-0-length": "3"})
    assert rows.is_valid()
    assert not was_refused(rows)
    with pages.refusals_on(rows.forms[0]):
        raise Refusal("Too long for the board.", field="length")
    assert was_refused(rows)
