"""The pages of the pricing policy and its tax rates."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.calc.steps import as_percent
from inventory.base.forms import AmountField, PercentField, SectionedForm, Sections
from inventory.base.pages import refusals_on
from inventory.base.roles import OWNER, allow_roles
from inventory.models import Family
from quotes.base.fields import day_field
from quotes.base.pages import posted
from quotes.models import DatedTaxRate, FamilyMarkup, PricingPolicy
from quotes.pricing.queries.policy import rates_on
from quotes.pricing.services import add_tax_rate, remove_tax_rate, set_policy


class PolicyForm(SectionedForm, forms.ModelForm):
    """How this shop makes a price."""

    sections: Sections = (
        ("Pricing", True, (
            "shop_rate", "material_markup", "contingency_by", "contingency", "price_step",
            "shipping",
        )),
        ("Tax", True, ("tax_name", "tax_rate", "prices_with_tax", "bought_tax_rate")),
        ("Payment and dates", True, ("parts", "valid_days", "payment_days", "changes_paid_ahead")),
        ("Fees and discounts", True, (
            "fee_percent", "fee_fixed", "dealer_discount", "currency_buffer",
        )),
        ("Bank details", True, ("account_holder", "iban", "bic")),
        ("Terms", False, ("terms",)),
    )  # fmt: skip

    shop_rate = AmountField(label="Shop rate, per hour")
    material_markup = PercentField(
        label="Markup on materials",
        max_value=900,
        help_text="On cost. A markup of 25 % is a margin of 20 %.",
    )
    contingency = PercentField(
        label="Contingency, of labour",
        help_text="Also used where a template lists no risks.",
    )
    price_step = AmountField(label="Round prices up to", help_text="0: no rounding.")
    shipping = AmountField(label="Usual shipping")
    tax_rate = PercentField(
        help_text="Used until a dated rate below applies. Ask your accountant which applies."
    )
    bought_tax_rate = PercentField(
        label="Tax on purchases",
        max_value=99,
        help_text="Only if you are not registered for tax: added to replacement prices entered "
        "net. 0 if you enter them with tax.",
    )
    fee_percent = PercentField(label="Payment fee, share of each payment", max_value=19)
    fee_fixed = AmountField(label="Fixed fee per payment")
    dealer_discount = PercentField(label="Dealer’s discount, off the list price", max_value=89)
    currency_buffer = PercentField(label="Currency buffer")

    class Meta:
        model = PricingPolicy
        fields = (
            "shop_rate", "material_markup", "contingency_by", "contingency", "price_step",
            "shipping", "tax_name", "tax_rate", "prices_with_tax", "bought_tax_rate", "parts",
            "valid_days", "fee_percent", "fee_fixed", "dealer_discount", "currency_buffer",
            "payment_days", "changes_paid_ahead", "account_holder", "iban", "bic", "terms",
        )  # fmt: skip
        widgets = {"terms": forms.Textarea(attrs={"rows": 6})}
        labels = {
            "parts": "Payment plan",
            "prices_with_tax": "Shipping, extra lines and rounding include tax",
            "valid_days": "Quotes valid for (days)",
        }
        help_texts = {
            "prices_with_tax": "It is taken out at its rate.",
            "parts": "Percentages that add up to 100: deposit, stage payments, balance. "
            "Or: 3 equal parts.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = dict(FamilyMarkup.objects.values_list("family_id", "markup"))
        families = Family.objects.all()
        for family in families:
            self.fields[f"family-{family.pk}"] = PercentField(
                label=family.name,
                required=False,
                max_value=900,
                initial=own.get(family.pk),
            )
        markups = tuple(f"family-{family.pk}" for family in families)
        if markups:
            heading = "Markup by material family, where it differs"
            self.sections = (*self.sections, (heading, True, markups))

    def policy_values(self) -> dict[str, Any]:
        """What was filled in, the families' markups apart."""
        plain = {n: v for n, v in self.cleaned_data.items() if not n.startswith("family-")}
        markups = {
            family: self.cleaned_data[f"family-{family.pk}"] for family in Family.objects.all()
        }
        return plain | {"markups": markups}


class TaxRateForm(forms.Form):
    """A tax rate and the first day it holds."""

    name = forms.CharField(max_length=30, initial=DatedTaxRate.STANDARD)
    since = day_field(label="From")
    rate = PercentField(max_value=99)


@allow_roles(OWNER)
def pricing_policy(request: HttpRequest) -> HttpResponse:
    """Show and set how prices are made."""
    policy = PricingPolicy.objects.first() or PricingPolicy(pk=1)
    form = PolicyForm(posted(request), instance=policy)
    if form.is_valid():
        with refusals_on(form):
            set_policy(**form.policy_values())
            messages.success(request, "Saved. It applies to new drafts.")
            return redirect("pricing_policy")
    return _shown(request, form, TaxRateForm(prefix="rate"))


@require_POST
@allow_roles(OWNER)
def tax_rate_add(request: HttpRequest) -> HttpResponse:
    """Add a dated tax rate."""
    form = TaxRateForm(request.POST, prefix="rate")
    if form.is_valid():
        with refusals_on(form):
            add_tax_rate(**form.cleaned_data)
            return redirect("pricing_policy")
    policy = PricingPolicy.objects.first() or PricingPolicy(pk=1)
    return _shown(request, PolicyForm(instance=policy), form)


@require_POST
@allow_roles(OWNER)
def tax_rate_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a dated tax rate."""
    remove_tax_rate(rate=get_object_or_404(DatedTaxRate, pk=pk))
    return redirect("pricing_policy")


def _shown(request: HttpRequest, form: PolicyForm, rate_form: TaxRateForm) -> HttpResponse:
    context = {"form": form, "rate_form": rate_form, "rates": DatedTaxRate.objects.all()}
    status = 422 if form.errors or rate_form.errors else 200
    return render(request, "quotes/pricing/pricing_policy.html", context, status=status)


def with_rates(form: forms.BaseForm) -> forms.BaseForm:
    """Name the shop's tax rates of the day beside the field for a rate of its own."""
    if "tax_rate" in form.fields:
        policy = PricingPolicy.objects.first() or PricingPolicy()
        rates = rates_on(policy, timezone.localdate()).items()
        words = ", ".join(f"{name} {as_percent(rate)}" for name, rate in rates if rate)
        form.fields["tax_rate"].help_text = (
            f"Otherwise leave empty. {words.capitalize()} today."
            if words
            else "Otherwise leave empty."
        )
    return form
