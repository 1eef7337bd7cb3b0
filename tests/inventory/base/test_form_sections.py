"""Forms in sections: no field is left out, and none stands twice."""

from functools import partial

import pytest

from inventory.paperwork.forms import PaperForm
from inventory.purchasing.forms.bills import CorrectBillForm
from inventory.shelf.forms.catalogue import PieceForm
from inventory.shelf.forms.materials import MaterialForm
from inventory.wood.forms import MeterForm, RulesForm
from quotes.changes.forms import ChangeForm
from quotes.pricing.pages import PolicyForm
from quotes.quoting.forms.quotes import QuoteMaterialForm, TermsForm
from shop.builds.pages.setting_up import MM, SetUpForm
from tests.inventory.stocked import stocked
from tests.quotes.factories import make_plain_electric_bouzouki, make_policy, make_quote

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
        PolicyForm,
        TermsForm,
        QuoteMaterialForm,
    ],
)
def test_every_field_stands_in_one_section(form):
    made = form()
    shown = [name for _, _, names in made.sections for name in names]
    assert sorted(shown) == sorted(made.fields)


def test_every_field_of_a_change_order_stands_in_one_section(workshop):
    make_policy()
    made = ChangeForm(quote=make_quote(template=make_plain_electric_bouzouki()))
    shown = [name for _, _, names in made.sections for name in names]
    assert sorted(shown) == sorted(made.fields)


def test_every_field_of_a_bill_stands_in_one_section(workshop):
    stocked()
    made = CorrectBillForm()
    shown = [name for _, _, names in made.sections for name in names]
    assert sorted(shown) == sorted(made.fields)
