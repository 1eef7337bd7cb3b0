"""Forms of a build: what it is called, what is drawn for it, what was lost, what was noted."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Prefetch

from inventory.base.calc.units import QUANTITY_PLACES
from inventory.base.forms import TypedQuantityField, model_choice
from inventory.models import Lot, Material, Promise
from inventory.shelf.forms.by_name import MaterialByName
from shop.builds.queries.needs import BuildNeed
from shop.models import Build, BuildStage, BuildTemplate

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
SMALLEST = Decimal(1).scaleb(-QUANTITY_PLACES)
MOMENT = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")


class BuildForm(forms.ModelForm):
    """What may be changed of a build by hand."""

    batch_name = forms.CharField(
        label="Batch",
        required=False,
        max_length=80,
        help_text="Builds made together have the same batch name and share hours.",
    )

    class Meta:
        model = Build
        fields = ["title", "serial", "specification", "is_set_aside"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["batch_name"].initial = self.instance.batch and self.instance.batch.name


class BeginForm(forms.Form):
    """A build without a quote: for stock, a fair, or oneself."""

    template = forms.ModelChoiceField(BuildTemplate.objects.filter(is_archived=False))
    title = forms.CharField(max_length=160, help_text="Such as: carved bouzouki for the show.")
    promised_on = forms.DateField(label="Promised date", required=False, widget=DAY)
    specification = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 4}))


class QuantityForm(forms.Form):
    """A quantity in the material's own unit, or another of its kind; cleaned to base units."""

    def __init__(
        self, *args: Any, material: Material, most: Decimal | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.material = material
        self.fields["quantity"] = TypedQuantityField(
            unit_code=material.unit, least=SMALLEST, initial=most or None
        )
        self.order_fields(self.field_order)


class LotChoiceField(forms.ModelChoiceField):
    """A lot by its number, and whom it is put aside for."""

    def label_from_instance(self, obj: Lot) -> str:
        held = ", ".join(promise.holder_name for promise in obj.promises.all())
        return f"{obj.number}, reserved for {held}" if held else obj.number


class DrawForBuildForm(QuantityForm):
    """What is taken off the shelf: which piece, how much, when, in which stage."""

    lot = LotChoiceField(Lot.objects.none(), required=False)
    stage = forms.ModelChoiceField(BuildStage.objects.none(), required=False, empty_label="none")
    happened_at = forms.DateTimeField(
        label="Time", required=False, widget=MOMENT, help_text="Leave empty for now."
    )
    note = forms.CharField(required=False, max_length=300)

    field_order = ["lot", "quantity", "stage", "happened_at", "note"]

    def __init__(
        self,
        *args: Any,
        build: Build,
        material: Material,
        need: BuildNeed | None = None,
        **kwargs: Any,
    ) -> None:
        planned = need.line.material if need else None
        is_alike = planned is not None and planned.base_unit == material.base_unit
        most = need.still_needed if need and is_alike else None
        super().__init__(*args, material=material, most=most, **kwargs)
        stage = model_choice(self, "stage")
        stage.queryset = build.stages.all()
        stage.initial = need and need.line.stage_id
        self._offer_lots(material, need)

    def _offer_lots(self, material: Material, need: BuildNeed | None) -> None:
        held = Prefetch("promises", Promise.objects.filter(outstanding__gt=0))
        lots = Lot.objects.filter(material=material, remaining__gt=0).prefetch_related(held)
        field = self.fields["lot"]
        field.label = "Piece" if material.is_piece else "Lot"
        if material.is_piece:
            field.empty_label = "any"  # type: ignore[attr-defined]
            own = [lot.pk for lot in need.pieces if lot.material_id == material.pk] if need else []
            field.initial = own[0] if own else None
        else:
            field.empty_label = "oldest first"  # type: ignore[attr-defined]
        field.queryset = lots  # type: ignore[attr-defined]


class ScrapForBuildForm(QuantityForm):
    """What was lost, and why."""

    why = forms.CharField(
        label="Reason",
        max_length=300,
        help_text="Such as: cracked while carving, hole in the wrong place.",
    )


class AssignMaterialForm(forms.Form):
    """Which material of the shop."""

    material = MaterialByName(in_use=True)


class BuildNoteForm(forms.Form):
    """A note, a photo, or both."""

    text = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}))
    photo = forms.FileField(
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*"}),
        help_text="Reduced in size; the location is removed.",
    )
    stage = forms.ModelChoiceField(BuildStage.objects.none(), required=False, empty_label="none")

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        model_choice(self, "stage").queryset = build.stages.all()


def until_now(value: datetime | None, now: datetime) -> datetime | None:
    """Return when something happened; what lies ahead of `now` is taken as now."""
    return None if value is None or value > now else value
