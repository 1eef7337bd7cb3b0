"""Forms in sections: no field is left out, and none stands twice."""

from functools import partial

import pytest

from inventory.forms.catalogue import PieceForm
from inventory.forms.materials import MaterialForm
from inventory.forms.papers import PaperForm
from inventory.forms.wood import MeterForm, RulesForm
from quotes.models import Quote
from quotes.pages.change_form import ChangeForm
from shop.pages.setting_up import MM, SetUpForm

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "form",
    [
        MaterialForm,
        RulesForm,
        MeterForm,
        PieceForm,
        PaperForm,
        partial(SetUpForm, unit=MM),
        partial(ChangeForm, quote=Quote(tax_kind=Quote.TaxKind.STANDARD)),
    ],
)
def test_every_field_stands_in_one_section(form):
    made = form()
    shown = [name for _, _, names in made.sections for name in names]
    assert sorted(shown) == sorted(made.fields)
