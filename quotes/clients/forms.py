"""Who orders."""

from django import forms

from inventory.base.queries import home_currency
from quotes.base.fields import text_area
from quotes.models import Client
from shop.base.choices import countries, currencies

NOT_SAID = [("", "not known")]


def _client_currencies() -> list[tuple[str, str]]:
    return [("", f"{home_currency()}, as the workshop’s"), *currencies()]


class ClientForm(forms.ModelForm):
    """Who orders."""

    country = forms.ChoiceField(choices=lambda: NOT_SAID + countries(), required=False)
    currency = forms.ChoiceField(choices=_client_currencies, required=False)

    class Meta:
        model = Client
        fields = (
            "name", "kind", "email", "phone", "address", "country", "currency", "tax_number",
            "note",
        )  # fmt: skip
        widgets = {"address": text_area(3), "note": text_area(2)}
