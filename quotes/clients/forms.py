"""Who orders."""

from django import forms

from quotes.base.fields import text_area
from quotes.models import Client
from shop.base.choices import countries, currencies

NOT_SAID = [("", "not said")]


HOME_MONEY = [("", "home money")]


class ClientForm(forms.ModelForm):
    """Who orders."""

    country = forms.ChoiceField(choices=lambda: NOT_SAID + countries(), required=False)
    currency = forms.ChoiceField(choices=lambda: HOME_MONEY + currencies(), required=False)

    class Meta:
        model = Client
        fields = (
            "name", "kind", "email", "phone", "address", "country", "currency", "tax_number",
            "note",
        )  # fmt: skip
        widgets = {"address": text_area(3), "note": text_area(2)}
