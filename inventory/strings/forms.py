"""String sets and fingerboards as they are typed in."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.forms import SizeField, TypedQuantityField
from inventory.base.refusals import Refusal
from inventory.models import Material, SingleString, StringEnd, StringSet
from inventory.shelf.forms.by_name import MaterialByName
from inventory.strings.calc.fretwire import Fingerboard
from inventory.strings.calc.string_sets import PlannedString, read_gauge, read_unit_weight
from inventory.strings.calc.strings import hertz_of
from inventory.strings.documents import MOST_WORDS
from inventory.strings.services import MOST_OF_A_PITCH, StringChosen
from inventory.templatetags.figures import plain_decimal

MOST_ROWS = 24
EMPTY_ROWS = 4
PLAIN, WOUND = "plain", "wound"


class StringSetForm(forms.Form):
    """What the set is called, and what it goes on."""

    material = MaterialByName(label="String set", help_text="A material kept as a count.")
    instrument = forms.CharField(max_length=120, required=False, help_text="Such as bouzouki.")
    scale_mm = TypedQuantityField(unit_code="mm", least=Decimal("0.001"), label="Scale length")
    note = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Such as what the player asked for.",
    )

    def clean_material(self) -> Material:
        """Only what is counted can be a set."""
        material: Material = self.cleaned_data["material"]
        if material.kept_as != "count":
            raise forms.ValidationError(f"{material} is kept as {material.get_kept_as_display()}.")
        return material


class SleeveForm(forms.Form):
    """For whom a set was made up, and when; both stand on its sleeve."""

    made_for = forms.CharField(label="For", max_length=MOST_WORDS, required=False)
    made_on = forms.DateField(
        label="Made on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )


class StringForm(forms.Form):
    """The strings of one pitch. What is left empty is taken from what is known of the single."""

    pitch = forms.CharField(max_length=4, required=False, label="Pitch")
    count = forms.IntegerField(
        min_value=1, max_value=MOST_OF_A_PITCH, initial=2, required=False, label="Strings"
    )
    single = MaterialByName(required=False, label="Single string")
    gauge = forms.CharField(max_length=20, required=False, label="Gauge")
    kind = forms.ChoiceField(
        choices=[(PLAIN, "plain steel"), (WOUND, "wound or other")],
        required=False,
        label="Kind",
    )
    weight = forms.CharField(max_length=30, required=False, label="Unit weight")
    end = forms.ChoiceField(
        choices=[("", "–"), *((end, end) for end in StringEnd.values)], required=False, label="End"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, size in (("pitch", 4), ("gauge", 7), ("weight", 14), ("single", 28)):
            self.fields[name].widget.attrs["size"] = size
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = field.label

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not data.get("pitch"):
            return data
        try:
            data["string"] = self._string(data)
        except Refusal as refusal:
            known = refusal.field if refusal.field in self.fields else "pitch"
            self.add_error(known, refusal.sentence)
        return data

    def _string(self, data: dict[str, Any]) -> PlannedString:
        hertz_of(data["pitch"])
        known = SingleString.objects.filter(material=data.get("single")).first()
        if not data.get("gauge") and known is None:
            raise Refusal("Enter the gauge, such as 10 or .010.", field="gauge")
        gauge = read_gauge(data["gauge"]) if data.get("gauge") else known.gauge  # type: ignore[union-attr]
        return PlannedString(
            pitch=data["pitch"].strip(),
            gauge=gauge,
            count=data.get("count") or 1,
            grams_per_metre=self._weight(data, known),
        )

    def _weight(self, data: dict[str, Any], known: SingleString | None) -> Decimal | None:
        if data.get("weight"):
            return read_unit_weight(data["weight"])
        if known is not None and not data.get("gauge"):
            return known.grams_per_metre
        if data.get("kind") != WOUND:
            return None
        raise Refusal(
            "The weight of a wound string can't be calculated. Enter the figure from its "
            "maker, or weigh a metre of it.",
            field="weight",
        )


class _Strings(forms.BaseFormSet):
    def planned(self) -> list[PlannedString]:
        """Return the strings that were filled in, whether the shop keeps them or not."""
        return [row["string"] for row in self._filled()]

    def chosen(self) -> list[StringChosen]:
        """Return the strings with their singles. Raises Refusal for one that names none."""
        nameless = [row["string"].pitch for row in self._filled() if not row["single"]]
        if nameless:
            raise Refusal(
                f"{', '.join(nameless)}: choose the single string to draw. Add it as a material "
                "first if it is not in the list."
            )
        return [
            StringChosen(material=row["single"], string=row["string"], end=row["end"])
            for row in self._filled()
        ]

    def _filled(self) -> list[dict[str, Any]]:
        return [form.cleaned_data for form in self.forms if form.cleaned_data.get("string")]


StringRows = forms.formset_factory(
    StringForm,
    formset=_Strings,
    extra=EMPTY_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
)


def head_of(row: StringSet) -> dict[str, Any]:
    """Return what the head of a set's form begins with."""
    return {
        "material": row.recipe.material.name,
        "instrument": row.instrument,
        "scale_mm": row.scale_mm,
        "note": row.note,
    }


def strings_of(row: StringSet) -> list[dict[str, Any]]:
    """Return what the rows of a set's form begin with."""
    return [
        {
            "pitch": string.pitch,
            "count": string.count,
            "single": string.single.material.name,
            "gauge": plain_decimal(string.single.gauge),
            "kind": PLAIN if string.single.grams_per_metre is None else WOUND,
            "weight": plain_decimal(string.single.grams_per_metre),
            "end": string.single.end,
        }
        for string in row.strings.all()
    ]


LEAST = Decimal("0.001")


class FingerboardForm(forms.Form):
    """Scale, frets, and the widths at both ends; what is cut longer on each side."""

    scale = SizeField(least=LEAST, label="Scale length")
    frets = forms.IntegerField(min_value=1, max_value=60)
    nut_width = SizeField(least=LEAST, label="Width at the nut")
    last_fret_width = SizeField(least=LEAST, label="Width at the last fret")
    overhang = SizeField(label="Overhang, each side", initial=Decimal(3))
    extra = forms.DecimalField(
        min_value=0, max_value=100, initial=12, decimal_places=1, label="Extra for waste, percent"
    )

    def board(self) -> Fingerboard:
        """Return the fingerboard that was typed."""
        names = ("scale", "frets", "nut_width", "last_fret_width", "overhang")
        return Fingerboard(**{name: self.cleaned_data[name] for name in names})
