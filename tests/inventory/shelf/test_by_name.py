"""Materials are found by name: no page carries the whole shelf in a list to choose from."""

import pytest
from django import forms

from inventory.shelf.forms.by_name import MaterialByName
from tests.factories import make_material

pytestmark = pytest.mark.django_db


class Asked(forms.Form):
    material = MaterialByName(required=False, in_use=True)


def test_a_material_is_known_by_its_name_whatever_the_letters():
    spruce = make_material("Spruce")
    form = Asked({"material": " sPRUCE "})
    assert form.is_valid()
    assert form.cleaned_data["material"] == spruce


def test_a_form_of_a_row_shows_the_name():
    spruce = make_material("Spruce")
    form = Asked(initial={"material": spruce.pk})
    assert 'value="Spruce"' in str(form["material"])
    assert not Asked({"material": "Spruce"}, initial={"material": spruce.pk}).has_changed()


def test_nothing_typed_is_no_material():
    form = Asked({"material": ""})
    assert form.is_valid()
    assert form.cleaned_data["material"] is None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Spru", "There is no material “Spru”. Did you mean: Spruce?"),
        ("Yew", "There is no material “Yew”. Add it as a new material first."),
        ("Old yew", "Old yew is archived. Choose a material that is in use."),
    ],
)
def test_what_is_not_found_is_said(typed, said):
    make_material("Spruce")
    make_material("Old yew", is_archived=True)
    assert Asked({"material": typed}).errors["material"] == [said]
