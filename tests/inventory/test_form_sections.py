"""Forms in sections: no field is left out, and none stands twice."""

import pytest

from inventory.forms.materials import MaterialForm
from inventory.forms.wood import RulesForm

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("form", [MaterialForm, RulesForm])
def test_every_field_stands_in_one_section(form):
    shown = [name for _, _, names in form.sections for name in names]
    assert sorted(shown) == sorted(form().fields)
