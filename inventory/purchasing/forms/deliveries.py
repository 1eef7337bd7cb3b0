"""A delivery as it is typed in: a head, and a line for each material."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.base.calc.money import check_whole_units, is_currency
from inventory.base.calc.typed import read_masses, read_quantity, read_sizes
from inventory.base.calc.units import unit_word
from inventory.base.forms import AmountField, ExchangeRateField, MassField
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from inventory.base.wood_units import wood_units
from inventory.ledger.services.incoming import Charges, NewLine, PieceFacts
from inventory.models import Material, OrderLine, Place, ShareBy, Supplier
from inventory.shelf.forms.by_name import MaterialByName
from inventory.shelf.forms.catalogue import DAY

MOST_LINES = 60
MOST_PIECES = 500
EXAMPLES = {"mm": "430 × 150 × 17.5", "in": "17 × 6 × 11/16"}


class MoneyTyped(AmountField):
    """Money of a currency that another field names: its steps are checked there."""

    def clean(self, value: Any) -> Any:
        return forms.DecimalField.clean(self, value)


class DeliveryForm(forms.Form):
    """Where it came from and what it cost to get it here: what stands over the lines, and below."""

    TOP = ("supplier", "received_on", "reference", "currency", "rate")
    FOOT = ("carriage", "duty", "tax", "share_by", "note", "teaches")

    supplier = forms.ModelChoiceField(Supplier.objects.all(), required=False)
    received_on = forms.DateField(label="Received", widget=DAY)
    reference = forms.CharField(max_length=60, required=False, label="Invoice number")
    currency = forms.CharField(
        required=False,
        max_length=3,
        label="Currency",
        help_text="If not your own: ISO 4217 code, such as USD.",
    )
    rate = ExchangeRateField()
    carriage = MoneyTyped(
        required=False, initial=Decimal(0), help_text="In the currency of the invoice."
    )
    duty = AmountField(
        required=False,
        initial=Decimal(0),
        label="Duty and tax you can't reclaim",
        help_text="In your own currency.",
    )
    tax = AmountField(
        required=False,
        initial=Decimal(0),
        label="Tax you can reclaim",
        help_text="In your own currency.",
    )
    share_by = forms.ChoiceField(choices=ShareBy.choices, label="Share charges by")
    note = forms.CharField(required=False, max_length=2000)
    teaches = forms.BooleanField(
        required=False,
        initial=True,
        label="Take over replacement prices, supplier, lead time and pack size",
        help_text="The preview shows them beside the old ones.",
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for name in ("carriage", "duty", "tax"):
            data[name] = data.get(name) or Decimal(0)
        self._check_money(data)
        return data

    def clean_currency(self) -> str:
        """Return the currency, or an empty text for the shop's own."""
        code: str = self.cleaned_data["currency"].strip().upper()
        if code and not is_currency(code):
            raise ValidationError(f"“{code}” is not an ISO 4217 currency code, such as USD.")
        return "" if code == home_currency() else code

    def _check_money(self, data: dict[str, Any]) -> None:
        code = data.get("currency", "")
        if code and data.get("rate") is None and "rate" not in self.errors:
            self.add_error("rate", f"Enter the exchange rate: {code} to one of your own currency.")
        try:
            check_whole_units(data["carriage"], code or home_currency())
        except Refusal as refusal:
            self.add_error("carriage", refusal.sentence)

    def top(self) -> list[Any]:
        """Return the fields of the head of an invoice."""
        return [self[name] for name in self.TOP]

    def foot(self) -> list[Any]:
        """Return the fields of what is charged on top of the lines."""
        return [self[name] for name in self.FOOT]

    def charges(self) -> Charges:
        """Return what the delivery cost on top of its lines."""
        names = ("carriage", "duty", "tax", "share_by", "currency", "rate")
        return Charges(**{name: self.cleaned_data[name] for name in names})


class DeliveryLineForm(forms.Form):
    """One material of the delivery; the second half is for what is kept by the piece."""

    material = MaterialByName()
    quantity = forms.CharField(
        max_length=40, widget=forms.TextInput(attrs={"inputmode": "decimal"})
    )
    price = MoneyTyped(label="Line total")
    order_line = forms.ModelChoiceField(
        OrderLine.objects.select_related("material", "order"),
        required=False,
        widget=forms.HiddenInput,
    )
    place = forms.ModelChoiceField(Place.objects.all(), required=False)
    mass_g = MassField(label="Mass", required=False)
    expires_on = forms.DateField(label="Expires", required=False, widget=DAY)
    size = forms.CharField(
        required=False,
        max_length=60,
        label="Size of each part",
        help_text="Length × width × thickness.",
    )
    parts = forms.IntegerField(
        required=False, min_value=1, max_value=8, initial=1, label="Parts in the set"
    )
    masses = forms.CharField(
        required=False,
        max_length=4000,
        label="Mass of each",
        help_text="One per piece, in order.",
    )
    grade = forms.CharField(required=False, max_length=80)
    pack = forms.CharField(
        required=False,
        max_length=40,
        label="Pack size",
        help_text="What one pack holds, in the unit of the quantity.",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    is_ready = forms.BooleanField(required=False, label="Ready: needs no drying")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["size"].unit = unit_word(wood_units().size)  # type: ignore[attr-defined]
        self.fields["masses"].unit = unit_word(wood_units().mass)  # type: ignore[attr-defined]

    def is_told_more(self) -> bool:
        """Whether something of the second half was typed."""
        return any(
            self[name].value()
            for name in ("mass_g", "expires_on", "size", "masses", "grade", "pack")
        )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        material, typed = data.get("material"), data.get("quantity")
        if material is None or not typed:
            return data
        try:
            data["line"] = self._line(material, read_quantity(typed, material.unit), data)
        except Refusal as refusal:
            self.add_error(refusal.field or "quantity", refusal.sentence)
        return data

    def _line(self, material: Material, quantity: Decimal, data: dict[str, Any]) -> NewLine | None:
        if quantity <= 0:
            raise Refusal("The quantity must be above 0.")
        if self.errors:
            return None
        masses = _masses(data["masses"])
        mass = data["mass_g"]
        if mass and not masses and quantity == 1:
            masses = [mass]
        return NewLine(
            material=material,
            quantity=quantity,
            price=data["price"],
            mass_g=mass if mass is not None or not masses else sum(masses, Decimal(0)),
            place=data["place"],
            expires_on=data["expires_on"],
            pieces=_pieces(quantity, masses, data) if material.is_piece else (),
            order_line=data["order_line"],
            pack=_pack(data["pack"], material),
        )


class _Lines(forms.BaseFormSet):
    """The lines that were filled in, in the money of `currency`."""

    currency = ""

    def clean(self) -> None:
        for form in self.forms:
            price = form.cleaned_data.get("price") if hasattr(form, "cleaned_data") else None
            try:
                check_whole_units(price or Decimal(0), self.currency or home_currency())
            except Refusal as refusal:
                form.add_error("price", refusal.sentence)

    def new_lines(self) -> list[NewLine]:
        """Return what the services take, without the lines left blank."""
        return [form.cleaned_data["line"] for form in self.forms if form.cleaned_data.get("line")]


LineSet = forms.formset_factory(
    DeliveryLineForm, formset=_Lines, extra=1, max_num=MOST_LINES, absolute_max=MOST_LINES
)


def _pack(typed: str, material: Material) -> Decimal | None:
    if not typed.strip():
        return None
    try:
        pack = read_quantity(typed, material.unit)
    except Refusal as refusal:
        raise Refusal(refusal.sentence, field="pack") from None
    if pack <= 0:
        raise Refusal("The pack size must be above 0.", field="pack")
    return pack


def _pieces(
    quantity: Decimal, masses: list[Decimal], data: dict[str, Any]
) -> tuple[PieceFacts, ...]:
    if quantity % 1 or quantity > MOST_PIECES:
        raise Refusal(f"Enter whole pieces, at most {MOST_PIECES} per line.")
    wanted = int(quantity)
    if masses and len(masses) != wanted:
        raise Refusal(
            f"{wanted} pieces but {len(masses)} masses. Enter one mass per piece.", field="masses"
        )
    length, width, thickness = _size(data["size"])
    return tuple(
        PieceFacts(
            length_mm=length,
            width_mm=width,
            thickness_mm=thickness,
            mass_g=masses[position] if masses else None,
            parts=data["parts"] or 1,
            grade=data["grade"],
            is_ready=data["is_ready"],
        )
        for position in range(wanted)
    )


def _size(typed: str) -> tuple[Decimal | None, ...]:
    if not typed.strip():
        return (None, None, None)
    unit = wood_units().size
    try:
        sizes = read_sizes(typed, unit)
    except Refusal as refusal:
        raise Refusal(refusal.sentence, field="size") from None
    if len(sizes) != 3:
        raise Refusal(f"Enter three sizes, such as {EXAMPLES[unit]}.", field="size")
    return sizes


def _masses(typed: str) -> list[Decimal]:
    try:
        return read_masses(typed, wood_units().mass)
    except Refusal as refusal:
        raise Refusal(refusal.sentence, field="masses") from None
