"""The shop's tax rates of the day, named beside a field for a rate of its own."""

from django import forms
from django.utils import timezone

from inventory.calc.steps import as_percent
from quotes.models import PricingPolicy
from quotes.queries.policy import rates_on


def with_rates(form: forms.BaseForm) -> forms.BaseForm:
    """Name the shop's tax rates of the day beside the field for a rate of its own."""
    if "tax_rate" in form.fields:
        policy = PricingPolicy.objects.first() or PricingPolicy()
        rates = rates_on(policy, timezone.localdate()).items()
        words = ", ".join(f"{name} {as_percent(rate)}" for name, rate in rates if rate)
        form.fields["tax_rate"].help_text = (
            f"Empty otherwise. {words.capitalize()} today." if words else "Empty otherwise."
        )
    return form
