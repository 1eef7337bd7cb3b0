"""What the pages of quotes and clients ask."""

from typing import Any

from django import forms

from inventory.base.calc.units import UNITS_BY_KIND
from inventory.base.forms import (
    AmountField,
    PercentField,
    SectionedForm,
    Sections,
    SizeField,
    choice,
    model_choice,
)
from inventory.models import SHELF_STATES, Lot
from inventory.shelf.forms.by_name import MaterialByName
from quotes.base.fields import NumberField, day_field, own_rate_field, text_area
from quotes.models import Client, Quote, QuoteExtra, QuoteMaterial, QuoteStage
from shop.base.choices import currencies
from shop.models import BuildTemplate, WasteRule

UNITS = [
    (unit.code, unit.word)
    for kind in UNITS_BY_KIND
    if kind != "piece"
    for unit in UNITS_BY_KIND[kind]
]


SOLD_BESIDE = (
    "What is sold beside the instrument is listed on the quote with its own price, without "
    "rounding. Ask your accountant what may have its own tax rate."
)


HOURS_SAVED = "Of its own hours, by making it beside the first instrument."


class NewQuoteForm(forms.Form):
    """Who asks, and for what."""

    client = forms.ModelChoiceField(
        Client.objects.all(), required=False, empty_label="new client, named below"
    )
    new_client = forms.CharField(
        label="New client", max_length=120, required=False, help_text="The rest can be added later."
    )
    template = forms.ModelChoiceField(
        BuildTemplate.objects.filter(is_archived=False),
        required=False,
        empty_label="no template (start empty)",
    )
    from_last = forms.BooleanField(
        label="Start from the last quote of this template, if any", required=False
    )
    title = forms.CharField(max_length=160, required=False, help_text="Empty: the template’s name.")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not data.get("client") and not data.get("new_client"):
            self.add_error("client", "Choose a client, or name a new one.")
        if not data.get("template") and not data.get("title"):
            self.add_error("title", "Give a title, or choose a template.")
        return data


class CopyQuoteForm(forms.Form):
    """Whom a copy is for: a client, or a new one by name alone."""

    client = forms.ModelChoiceField(
        Client.objects.all(), required=False, empty_label="new client, named below"
    )
    new_client = NewQuoteForm.base_fields["new_client"]
    title = forms.CharField(max_length=160)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not data.get("client") and not data.get("new_client"):
            self.add_error("client", "Choose a client, or name a new one.")
        return data


class NewInstrumentForm(forms.Form):
    """Another instrument of an order: as the first one, or from a template."""

    SAME, TEMPLATE = "same", "template"

    begins = forms.ChoiceField(
        label="Start",
        choices=[(SAME, "as the first instrument"), (TEMPLATE, "from a template")],
        initial=SAME,
    )
    template = forms.ModelChoiceField(
        BuildTemplate.objects.filter(is_archived=False),
        required=False,
        empty_label="no template (start empty)",
    )
    title = forms.CharField(
        max_length=160, required=False, help_text="Empty: that of the first one, or the template’s."
    )
    batch_saving = PercentField(
        label="Hours saved", max_value=99, required=False, help_text=HOURS_SAVED
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        from_template = data.get("begins") == self.TEMPLATE
        if from_template and not data.get("template") and not data.get("title"):
            self.add_error("title", "Give a title, or choose a template.")
        return data


class TermsForm(SectionedForm, forms.ModelForm):
    """The words, the policy and the money of a draft."""

    sections: Sections = (
        ("Text", False, ("title",)),
        ("Dates and payment plan", True, (
            "ready_on", "valid_days", "parts", "is_time_and_materials",
        )),
        ("Pricing", True, (
            "shop_rate", "material_markup", "contingency_by", "contingency", "rush", "price_step",
            "fee_percent", "fee_fixed", "dealer_discount",
        )),
        ("Shipping and tax", True, (
            "shipping", "tax_kind", "tax_rate", "shipping_tax_rate", "prices_with_tax",
            "bought_tax_rate",
        )),
        ("Client’s currency", True, (
            "currency", "exchange_rate", "exchange_rate_on", "currency_buffer", "client_step",
        )),
        ("Terms", False, ("terms",)),
    )  # fmt: skip

    shop_rate = AmountField(label="Shop rate, per hour")
    material_markup = PercentField(label="Markup on materials", max_value=900)
    contingency = PercentField(label="Contingency, of labour")
    rush = PercentField(label="Rush surcharge", required=False, help_text="On the price before it.")
    fee_percent = PercentField(label="Payment fee", max_value=19)
    fee_fixed = AmountField(label="Fixed fee per payment")
    dealer_discount = PercentField(label="Dealer’s discount, off the list price", max_value=89)
    price_step = AmountField(label="Round the price up to")
    shipping = AmountField(label="Shipping")
    tax_rate = PercentField(label="Tax rate")
    shipping_tax_rate = PercentField(
        label="Tax rate on shipping", required=False, help_text="Empty: as the instrument."
    )
    bought_tax_rate = PercentField(label="Tax on purchases, not reclaimed", max_value=99)
    currency = forms.ChoiceField(label="Currency", choices=currencies)
    exchange_rate = NumberField(
        label="Exchange rate",
        decimal_places=6,
        help_text="Units of it for one unit of the workshop’s.",
    )
    exchange_rate_on = day_field(label="Date of the rate", required=False)
    currency_buffer = PercentField(label="Currency buffer")
    client_step = AmountField(another_currency=True, label="Round the client’s price up to")
    ready_on = day_field(label="Ready on", required=False)

    class Meta:
        model = Quote
        fields = (
            "title", "shipping", "ready_on", "parts", "is_time_and_materials",
            "valid_days", "shop_rate",
            "material_markup", "contingency_by", "contingency", "rush", "price_step", "fee_percent",
            "fee_fixed", "dealer_discount", "tax_kind", "tax_rate", "shipping_tax_rate",
            "prices_with_tax", "bought_tax_rate", "currency", "exchange_rate",
            "exchange_rate_on", "currency_buffer", "client_step", "terms",
        )  # fmt: skip
        labels = {
            "parts": "Payment plan",
            "prices_with_tax": "Shipping, extra lines and rounding include tax",
            "tax_kind": "Tax",
            "valid_days": "Valid for (days)",
        }
        widgets = {"terms": text_area(5)}
        help_texts = {
            "parts": "Percentages that add up to 100, such as 30 30 40, or: 3 equal parts.",
            "ready_on": "Empty: as the queue forecasts.",
            "tax_kind": "Ask your accountant which applies.",
            "prices_with_tax": "It is taken out at its rate.",
        }


class InstrumentTermsForm(TermsForm):
    """The words and the pricing of a further instrument; all else is that of its order."""

    sections = (
        ("Text", False, ("title",)),
        ("Dates and pricing", False, (
            "ready_on", "batch_saving", "material_markup", "contingency_by", "contingency",
            "price_step",
        )),
    )  # fmt: skip
    batch_saving = PercentField(label="Hours saved", max_value=99, help_text=HOURS_SAVED)

    class Meta(TermsForm.Meta):
        fields = (
            "title", "ready_on", "batch_saving", "material_markup", "contingency_by",
            "contingency", "price_step",
        )  # type: ignore[assignment]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in set(self.fields) - set(self.Meta.fields):
            del self.fields[name]


class QuoteMaterialForm(SectionedForm, forms.ModelForm):
    """One material of a draft."""

    sections = (
        ("Material", True, ("name", "family", "material", "lot")),
        ("Quantity and cost", True, ("quantity", "unit", "cost_override", "markup", "seed_cost")),
        ("Tax", True, ("tax_kind", "tax_rate")),
        ("Waste", True, ("waste_rule", "waste_rate", "spares")),
        ("Cut from a length", True, (
            "cut_length_mm", "stock_length_mm", "kerf_mm", "least_remnant_mm",
        )),
    )  # fmt: skip

    material = MaterialByName(required=False, in_use=True)
    quantity = NumberField(decimal_places=3)
    unit = forms.ChoiceField(choices=UNITS)
    waste_rule = forms.ChoiceField(label="Waste", choices=WasteRule.choices)
    waste_rate = PercentField(label="Rejected, spoilt or extra", max_value=95, required=False)
    spares = NumberField(required=False, decimal_places=3)
    cut_length_mm = SizeField(label="Length of a part", required=False)
    stock_length_mm = SizeField(label="Stock length", required=False)
    kerf_mm = SizeField(label="Kerf", required=False)
    least_remnant_mm = SizeField(label="Shortest remnant kept", required=False)
    seed_cost = AmountField(
        label="Starting value from the template",
        required=False,
        help_text="For the whole line; used until a material with a price is chosen.",
    )
    cost_override = AmountField(
        label="Cost set by hand", required=False, help_text="For the whole line; empty: calculated."
    )
    markup = PercentField(max_value=900, required=False, help_text="Empty: the quote’s markup.")
    tax_rate = own_rate_field()

    class Meta:
        model = QuoteMaterial
        fields = (
            "name", "family", "material", "lot", "quantity", "unit", "cost_override", "markup",
            "waste_rule", "waste_rate", "spares", "cut_length_mm", "stock_length_mm", "kerf_mm",
            "least_remnant_mm", "seed_cost", "tax_kind", "tax_rate",
        )  # fmt: skip
        labels = {"lot": "Piece"}
        help_texts = {"lot": "", "tax_kind": SOLD_BESIDE}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        model_choice(self, "lot").queryset = _pieces_for(self.instance)
        model_choice(self, "lot").empty_label = "the best one available"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name in ("waste_rate", "spares", "kerf_mm", "least_remnant_mm", "seed_cost"):
            if data.get(name) is None:
                data[name] = self.fields[name].initial or 0
        return data


class QuoteStageForm(forms.ModelForm):
    """A stage of a draft in all its particulars."""

    hours = NumberField(unit="h", decimal_places=2)
    hours_low = NumberField(label="Low hours", unit="h", decimal_places=2, required=False)
    hours_high = NumberField(label="High hours", unit="h", decimal_places=2, required=False)
    waiting_days = NumberField(
        label="Waiting afterwards", unit="days", decimal_places=1, required=False
    )

    class Meta:
        model = QuoteStage
        fields = ("name", "hours", "hours_low", "hours_high", "waiting_days")


class ExtraForm(forms.ModelForm):
    """A line of the maker's own."""

    cost = AmountField(min_value=-999999, help_text="Below 0 for a reduction.")
    markup = PercentField(max_value=900, required=False)
    tax_rate = own_rate_field()

    class Meta:
        model = QuoteExtra
        fields = ("kind", "name", "cost", "markup", "tax_kind", "tax_rate")
        help_texts = {
            "kind": "Outside work, case and packing are bought in and do not count as earned. The "
            "quote mentions an allowance; any difference is settled with the balance.",
            "tax_kind": SOLD_BESIDE,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cents = QuoteExtra.Kind.CENTS
        if self.instance.kind != cents:
            kinds = [kind for kind in QuoteExtra.Kind.choices if kind[0] != cents]
            choice(self, "kind").choices = kinds


class DeclineForm(forms.Form):
    """Why not."""

    reason = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, label: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].label = label


def _pieces_for(row: QuoteMaterial) -> Any:
    if row.material_id is None:
        return Lot.objects.none()
    free = Lot.objects.filter(
        material=row.material_id, remaining__gt=0, piece__state__in=SHELF_STATES
    ).exclude(promises__outstanding__gt=0)
    chosen = Lot.objects.filter(pk=row.lot_id or 0)
    return (free | chosen).distinct().order_by("received_on", "pk")


class SetPriceForm(forms.Form):
    """A price set by hand."""

    amount = AmountField(another_currency=True, label="Price")
    is_gross = forms.BooleanField(required=False)
