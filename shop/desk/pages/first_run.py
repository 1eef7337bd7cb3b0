"""The first page of a new workshop."""

from django import forms
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import User
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import NoReverseMatch, reverse

from inventory.base.pages import refusals_on, render_form
from inventory.models import Workshop
from shop.access.forms import new_password_field
from shop.base.choices import countries, currencies, time_zones, zone_of_this_machine
from shop.desk.services import open_workshop

NO_COUNTRY = [("", "–")]


class FirstRunForm(forms.Form):
    """Whose shop it is, its money and its units, and who signs in."""

    name = forms.CharField(label="Workshop name", max_length=120)
    maker = forms.CharField(label="Maker", max_length=120)
    address = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Printed at the top of quotes and invoices.",
    )
    country = forms.ChoiceField(choices=lambda: NO_COUNTRY + countries(), required=False)
    time_zone = forms.ChoiceField(choices=time_zones, initial=zone_of_this_machine)
    currency = forms.ChoiceField(choices=currencies, initial="EUR")
    units = forms.ChoiceField(
        choices=[(Workshop.METRIC, "mm and g"), (Workshop.IMPERIAL, "inch and lb")],
        widget=forms.RadioSelect,
        initial=Workshop.METRIC,
    )
    tax_registered = forms.BooleanField(
        label="Registered for sales tax or VAT",
        required=False,
        help_text="Ask your accountant if unsure. You can edit this later.",
    )
    tax_number = forms.CharField(max_length=30, required=False)
    username = forms.CharField(
        label="User name", max_length=150, validators=[UnicodeUsernameValidator()]
    )
    password = new_password_field()


@login_not_required
def first_run(request: HttpRequest) -> HttpResponse:
    """Ask what a workshop needs to begin, then lead to the price of an hour."""
    if Workshop.objects.exists():
        return redirect("today")
    form = FirstRunForm(request.POST or None)
    if form.is_valid():
        with refusals_on(form):
            open_workshop(**form.cleaned_data)
            owner = User.objects.get(username=form.cleaned_data["username"])
            login(request, owner, backend="django.contrib.auth.backends.ModelBackend")
            return redirect(_next_page())
    return render_form(request, "shop/desk/first_run.html", {"form": form})


def _next_page() -> str:
    try:
        return reverse("pricing_policy")
    except NoReverseMatch:
        return reverse("today")
