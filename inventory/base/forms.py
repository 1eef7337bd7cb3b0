"""Form fields for quantities, sizes, masses and money; and forms in sections."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db.models import OuterRef, Subquery

from inventory.base.calc.money import LARGEST_AMOUNT, STORED_PLACES, check_whole_units
from inventory.base.calc.typed import plain_number, read_masses, read_quantity
from inventory.base.calc.units import from_base, round_quantity, to_base, unit_word
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from inventory.base.wood_units import METRIC, mass_numbers, wood_units
from inventory.models import Lot, Material, Promise
from inventory.templatetags.figures import plain_decimal

MOST_PLACES = 9


REFUSED = "refused"


def add_refusal(form: forms.BaseForm, refusal: Refusal) -> None:
    """Put the sentence of `refusal` beside its field, or above the form."""
    name = refusal.field if refusal.field in form.fields else None
    form.add_error(name, ValidationError(refusal.sentence, code=REFUSED))


def was_refused(form: Any) -> bool:
    """Say whether a form, or a set of forms, could be read and what it asks for was refused."""
    if isinstance(form, forms.BaseFormSet):
        return any(was_refused(one) for one in form.forms)
    found = form.errors.as_data().values()
    return any(error.code == REFUSED for errors in found for error in errors)


def model_choice(form: forms.BaseForm, name: str) -> forms.ModelChoiceField:
    """Return the field `name` of `form`, which offers rows of a table."""
    return cast(forms.ModelChoiceField, form.fields[name])


def choice(form: forms.BaseForm, name: str) -> forms.ChoiceField:
    """Return the field `name` of `form`, which offers a list."""
    return cast(forms.ChoiceField, form.fields[name])


class TypedDecimalField(forms.DecimalField):
    """A number with a point or a comma before its decimals, as its maker writes it."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        return super().to_python(typed_plainly(value))


def typed_plainly(value: Any) -> Any:
    """Write a typed number with a point; raise ValidationError where it may be read two ways."""
    try:
        return plain_number(value) if isinstance(value, str) else value
    except Refusal as refusal:
        raise ValidationError(refusal.sentence) from None


class PercentField(TypedDecimalField):
    """Typed and shown as 25, kept as 0.25."""

    unit = "%"

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("min_value", 0)
        kwargs.setdefault("max_value", 100)
        kwargs.setdefault("decimal_places", 2)
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(**kwargs)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal):
            text = f"{value * 100:f}"
            return text.rstrip("0").rstrip(".") if "." in text else text
        return value

    def clean(self, value: Any) -> Any:
        percent = super().clean(value)
        return None if percent is None else percent / 100


class TypedQuantityField(forms.CharField):
    """A quantity typed in `unit_code` or another unit of its kind; cleaned to base units."""

    def __init__(self, *, unit_code: str, least: Decimal | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(max_length=40, **kwargs)
        self.least = least
        self.use_unit(unit_code)

    def use_unit(self, unit_code: str) -> None:
        """Read and show in `unit_code` from now on."""
        self.unit_code, self.unit = unit_code, unit_word(unit_code)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal):
            return plain_decimal(self._shortest(value))
        return value

    def _shortest(self, value: Decimal) -> Decimal:
        """Return `value` in the unit, with as few decimals as are read back as the same."""
        exact = from_base(value, self.unit_code)
        tries = (round(exact, places) for places in range(MOST_PLACES))
        same = (one for one in tries if round_quantity(to_base(one, self.unit_code)) == value)
        return next(same, round(exact, MOST_PLACES))

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            amount = read_quantity(typed, self.unit_code)
        except Refusal as refusal:
            raise ValidationError(refusal.sentence) from None
        if self.least is not None and amount < self.least:
            raise ValidationError("The quantity must be above 0.")
        return amount


class SizeField(TypedQuantityField):
    """A length, typed and shown in the unit that the shop measures wood in; cleaned to mm."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(unit_code=METRIC.size, **kwargs)

    def __deepcopy__(self, memo: Any) -> Any:
        copy = super().__deepcopy__(memo)  # each form has a copy of its class's fields
        copy.use_unit(wood_units().size)
        return copy


class MassField(TypedQuantityField):
    """A mass, typed and shown in the unit that the shop weighs wood in; cleaned to g."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(unit_code=METRIC.mass, **kwargs)

    def __deepcopy__(self, memo: Any) -> Any:
        copy = super().__deepcopy__(memo)
        copy.use_unit(wood_units().mass)
        return copy


class MassesField(forms.CharField):
    """Masses one after the other, typed and shown in the shop's unit; cleaned to words in g."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=120, **kwargs)
        self.unit = unit_word(METRIC.mass)

    def __deepcopy__(self, memo: Any) -> Any:
        copy = super().__deepcopy__(memo)
        copy.unit = unit_word(wood_units().mass)
        return copy

    def prepare_value(self, value: Any) -> Any:
        return mass_numbers(value or "")

    def clean(self, value: Any) -> str:
        typed: str = super().clean(value)
        try:
            grams = read_masses(typed, wood_units().mass)
        except Refusal as refusal:
            raise ValidationError(refusal.sentence) from None
        return " ".join(plain_decimal(mass) for mass in grams)


class AmountField(TypedDecimalField):
    """Money. Home money in whole minor units; another currency is checked by its service."""

    def __init__(self, *, another_currency: bool = False, unit: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("min_value", Decimal(0))
        kwargs.setdefault("max_value", LARGEST_AMOUNT)
        kwargs.setdefault("decimal_places", STORED_PLACES)
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(**kwargs)
        self.another_currency = another_currency
        self.unit = unit

    def prepare_value(self, value: Any) -> Any:
        return _with_cents(value)

    def clean(self, value: Any) -> Any:
        amount = super().clean(value)
        if amount is not None and not self.another_currency:
            try:
                check_whole_units(amount, home_currency())
            except Refusal as refusal:
                raise ValidationError(refusal.sentence) from None
        return amount


class PriceField(TypedDecimalField):
    """The price of one unit, which may be finer than money that is paid."""

    def __init__(self, **kwargs: Any) -> None:
        places = {"min_value": 0, "max_digits": 14, "decimal_places": 4}
        widget = forms.TextInput(attrs={"inputmode": "decimal"})
        super().__init__(**places | {"widget": widget} | kwargs)

    def prepare_value(self, value: Any) -> Any:
        return _with_cents(value)


class ExchangeRateField(TypedDecimalField):
    """How much of a foreign currency one of the workshop's own buys."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            required=False,
            min_value=Decimal("0.00000001"),
            max_digits=18,
            decimal_places=8,
            label="Exchange rate",
            help_text="Units of that currency to one of your own.",
            widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            **kwargs,
        )


def _with_cents(value: Any) -> Any:
    """Write an amount without idle zeros after its second decimal: 6.00, 5.7143."""
    if isinstance(value, Decimal):
        return f"{value:.2f}" if value == round(value, 2) else f"{value:f}".rstrip("0")
    return value


class LotChoice(forms.ModelChoiceField):
    """One lot or piece of a material that is still on the shelf."""

    def __init__(self, material: Material, chosen: Lot | None = None, **kwargs: Any) -> None:
        shown = list(material.lots.filter(remaining__gt=0).values_list("pk", flat=True)[:200])
        keys = [*shown, *([chosen.pk] if chosen else [])]
        kwargs.setdefault("empty_label", "oldest first")
        promises = Promise.objects.filter(lot=OuterRef("pk"), outstanding__gt=0)
        lots = Lot.objects.filter(pk__in=keys).select_related("piece")
        lots = lots.annotate(promised_to=Subquery(promises.values("holder_name")[:1]))
        super().__init__(lots, initial=chosen, **kwargs)

    def label_from_instance(self, lot: Any) -> str:
        piece = getattr(lot, "piece", None)
        facts = f", {piece.get_state_display()}" if piece else ""
        facts += f", reserved for {lot.promised_to}" if lot.promised_to else ""
        return f"{lot.number}{facts}, received {lot.received_on.day} {lot.received_on:%b %Y}"


Sections = tuple[tuple[str, bool, tuple[str, ...]], ...]


class SectionedForm(forms.BaseForm):
    """Shows its fields under `sections`: a heading, the names below it, side by side if short.

    A test holds that every field stands in one section; one that a form leaves out is passed over.
    """

    template_name = "inventory/forms/sections.html"
    sections: Sections = ()

    def in_sections(self) -> Iterator[tuple[str, bool, list[Any]]]:
        """Yield each heading, whether its fields stand side by side, and its bound fields."""
        for heading, is_across, names in self.sections:
            yield heading, is_across, [self[name] for name in names if name in self.fields]


MOST_BYTES = 25 * 1024 * 1024


def checked_file(upload: Any) -> Any:
    """Return an uploaded file that is not too large to keep."""
    if isinstance(upload, UploadedFile) and (upload.size or 0) > MOST_BYTES:
        raise forms.ValidationError("This file is larger than 25 MB. Upload a smaller one.")
    return upload
