"""What to cut, with which saw, and a plan sealed so that it comes back as it was shown."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core import signing

from inventory.arrivals import PieceFacts
from inventory.calc.cutting import Loss, Saw
from inventory.cuts import CutJob, CutPart
from inventory.forms.deliveries import MaterialByName
from inventory.forms.fields import QuantityField
from inventory.models import Lot, Material, StockRules
from inventory.queries.cutting import WantedPart
from inventory.refusals import Refusal

SALT = "cutting plan"
MOST_PARTS = 30
LEAST = Decimal("0.001")


class SawForm(forms.Form):
    """The saw's terms."""

    kerf = QuantityField(unit_code="mm", label="Saw cut")
    trim = QuantityField(unit_code="mm", label="Trimmed off each end")
    least_length = QuantityField(unit_code="mm", label="Least length kept")
    least_width = QuantityField(unit_code="mm", label="Least width kept")

    def saw(self) -> Saw:
        return Saw(**self.cleaned_data)


def saw_of(rules: StockRules) -> dict[str, Decimal]:
    """Return the shop's usual saw, to begin a form with."""
    return {
        "kerf": rules.kerf_mm,
        "trim": rules.trim_mm,
        "least_length": rules.least_length_mm,
        "least_width": rules.least_width_mm,
    }


class PartForm(forms.Form):
    """Parts of one size."""

    material = MaterialByName(label="Becomes")
    length = QuantityField(unit_code="mm", least=LEAST)
    width = QuantityField(unit_code="mm", least=LEAST, required=False)
    count = forms.IntegerField(min_value=1, max_value=500, initial=1, label="How many")


class _Parts(forms.BaseFormSet):
    def wanted(self) -> list[WantedPart]:
        """Return the lines that were filled in."""
        return [WantedPart(**form.cleaned_data) for form in self.forms if form.cleaned_data]


PartSet = forms.formset_factory(
    PartForm, formset=_Parts, extra=1, max_num=MOST_PARTS, absolute_max=MOST_PARTS
)


class LoseForm(forms.Form):
    """How a spoilt part is booked."""

    kind = forms.ChoiceField(
        label="Its cost",
        choices=[
            (Loss.NORMAL.value, "falls on the good parts of the same cut: a normal loss"),
            (Loss.ABNORMAL.value, "is a loss of its own: an abnormal one"),
        ],
        widget=forms.RadioSelect,
        initial=Loss.NORMAL.value,
    )
    why = forms.CharField(max_length=300)

    def clean_kind(self) -> Loss:
        return Loss(self.cleaned_data["kind"])


def seal(jobs: Sequence[CutJob]) -> str:
    """Write a plan so that it can travel through a page and come back unchanged."""
    return signing.dumps([_plain_job(job) for job in jobs], salt=SALT, compress=True)


def unseal(sealed: str) -> list[CutJob]:
    """Read a sealed plan. Raises Refusal when it was changed, or its stock is gone."""
    try:
        rows = signing.loads(sealed, salt=SALT, max_age=24 * 3600)
    except signing.BadSignature:
        raise Refusal("This plan can't be read any more. Plan it again.") from None
    keys = {part["material"] for row in rows for part in [*row["parts"], *row["remnants"]]}
    materials = Material.objects.select_related("family").in_bulk(keys)
    lots = Lot.objects.select_related("material").in_bulk({row["lot"] for row in rows})
    try:
        return [_job(row, lots, materials) for row in rows]
    except KeyError:
        raise Refusal("What this plan was made for is gone. Plan it again.") from None


def _plain_job(job: CutJob) -> dict[str, Any]:
    return {
        "lot": job.lot.pk,
        "quantity": str(job.quantity),
        "usable": str(job.usable),
        "parts": [_plain_part(part) for part in job.parts],
        "remnants": [_plain_part(part) for part in job.remnants],
    }


def _plain_part(part: CutPart) -> dict[str, Any]:
    facts = {
        name: value if isinstance(value, bool | int) else str(value)
        for name, value in asdict(part.piece).items()
        if value not in {None, ""}
    }
    return {
        "material": part.material.pk,
        "measure": str(part.measure),
        "quantity": str(part.quantity),
        "facts": facts,
    }


def _job(row: dict[str, Any], lots: dict[int, Lot], materials: dict[int, Material]) -> CutJob:
    return CutJob(
        lot=lots[row["lot"]],
        quantity=Decimal(row["quantity"]),
        usable=Decimal(row["usable"]),
        parts=tuple(_part(part, materials) for part in row["parts"]),
        remnants=tuple(_part(part, materials) for part in row["remnants"]),
    )


def _part(row: dict[str, Any], materials: dict[int, Material]) -> CutPart:
    facts = dict(row["facts"])
    for name in facts.keys() & {"length_mm", "width_mm", "thickness_mm", "mass_g"}:
        facts[name] = Decimal(facts[name])
    if "felled_on" in facts:
        facts["felled_on"] = date.fromisoformat(facts["felled_on"])
    return CutPart(
        material=materials[row["material"]],
        measure=Decimal(row["measure"]),
        quantity=Decimal(row["quantity"]),
        piece=PieceFacts(**facts),
    )
