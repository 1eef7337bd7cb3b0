"""Forms of hours: one typed line, or field by field."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.base.forms import choice, model_choice
from shop.hours.bookkeeping import BY_HAND, EQUAL, WAYS
from shop.hours.calc.durations import HOW_TO_WRITE, parse_duration
from shop.hours.queries.catch_up import open_stage_names, reasons_in_use, work_on
from shop.hours.queries.work import Work
from shop.models import OPEN_STATES, Build, TimeEntry

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
CLOCK = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
SPLITS = [(key, words) for key, words in WAYS.items() if key != BY_HAND]


class DurationField(forms.CharField):
    """A length of time as makers write it; cleans to whole minutes."""

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_duration(text)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class PartsField(forms.CharField):
    """Lengths of time joined by `+`; cleans to seconds, one for each build."""

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        try:
            return [parse_duration(part) * 60 for part in text.split("+")] if text else []
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class TypedHoursForm(forms.Form):
    """One line: when, how long, what, for which build."""

    line = forms.CharField(
        label="In one line",
        max_length=200,
        help_text=(
            "Such as: yesterday, 2.5 h, binding, both. Or: 30 min, clean-up. Add the word "
            "again for rework."
        ),
    )


class HoursForm(forms.Form):
    """Hours field by field."""

    day = forms.DateField(widget=DAY)
    length = DurationField(label="Time worked", help_text=HOW_TO_WRITE)
    began_at = forms.TimeField(label="From", required=False, widget=CLOCK)
    builds = forms.ModelMultipleChoiceField(
        Build.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )
    stage = forms.ChoiceField(choices=lambda: _with_none(open_stage_names()), required=False)
    split_by = forms.ChoiceField(label="Split", choices=SPLITS, initial=EQUAL, required=False)
    parts = PartsField(
        label="Split by hand",
        required=False,
        help_text="One part for each build you tick, in order, such as 1:15 + 0:45.",
    )
    person = forms.ModelChoiceField(
        User.objects.none(), label="Person", required=False, empty_label="mine"
    )
    reason = forms.CharField(
        label="Reason not billable",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"list": "reasons"}),
        help_text="Leave empty if billable.",
    )
    is_remake = forms.BooleanField(
        label="Rework after a failure",
        required=False,
        help_text="Listed separately at close-out and left out of estimates.",
    )
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        builds = Build.objects.filter(state__in=OPEN_STATES)
        model_choice(self, "builds").queryset = builds
        people = User.objects.filter(is_active=True).order_by("username")
        model_choice(self, "person").queryset = people
        self.reasons = reasons_in_use()

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or self.cleaned_data
        parts, builds = given.get("parts") or [], given.get("builds") or []
        if parts and len(parts) != len(builds):
            sentence = (
                f"Parts: {len(parts)}, builds ticked: {len(builds)}. Enter one part per build."
            )
            self.add_error("parts", sentence)
        return given

    def work(self) -> Sequence[Work]:
        """Return what was worked on, with each build's part where it was given by hand."""
        given = self.cleaned_data
        work = work_on(given["builds"].prefetch_related("stages"), given["stage"])
        if not given["parts"]:
            return work
        return [replace(one, seconds=part) for one, part in zip(work, given["parts"], strict=True)]

    def way_of_sharing(self) -> str:
        """Return how the time is shared over the builds."""
        return BY_HAND if self.cleaned_data["parts"] else self.cleaned_data["split_by"] or EQUAL

    def started_at(self) -> datetime | None:
        """Return the instant the work began, in the shop's time zone."""
        began: time | None = self.cleaned_data["began_at"]
        if began is None:
            return None
        return timezone.make_aware(datetime.combine(self.cleaned_data["day"], began))


class CorrectionForm(HoursForm):
    """What an entry should have said, and why."""

    why = forms.CharField(label="Reason for correction", max_length=200, required=False)

    def __init__(self, *args: Any, entry: TimeEntry, **kwargs: Any) -> None:
        shares = list(entry.shares.select_related("build", "stage"))
        at_stage = next((share.stage.name for share in shares if share.stage), "")
        initial = {
            "day": entry.day,
            "length": f"{entry.minutes // 60:.0f}:{entry.minutes % 60:02.0f}",
            "began_at": entry.started_at and timezone.localtime(entry.started_at).time(),
            "builds": [share.build_id for share in shares],
            "stage": at_stage,
            "split_by": entry.split_by,
            "reason": entry.reason,
            "is_remake": entry.is_remake,
            "note": entry.note,
        }
        super().__init__(*args, initial=initial, **kwargs)
        del self.fields["person"]
        own = Build.objects.filter(pk__in=[share.build_id for share in shares])
        field = self.fields["builds"]
        field.queryset = (field.queryset | own).distinct()  # type: ignore[attr-defined]
        names = list(dict.fromkeys([*open_stage_names(), at_stage]))
        choice(self, "stage").choices = _with_none(names)


def _with_none(names: list[str]) -> list[tuple[str, str]]:
    return [("", "none"), *((name, name) for name in names if name)]
