"""Forms of hours: one typed line, or field by field."""

from datetime import datetime, time
from typing import Any

from django import forms
from django.utils import timezone

from shop.calc.durations import HOW_TO_WRITE, parse_duration
from shop.models import OPEN_STATES, Build, TimeEntry
from shop.queries.catchup import reasons_in_use, stage_names
from shop.sharing import BY_HAND, EQUAL, WAYS

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


class LineForm(forms.Form):
    """One line: when, how long, what, for which build."""

    line = forms.CharField(
        label="In one line",
        max_length=200,
        help_text="Such as: yesterday, 2.5 h, binding, both. Or: 30 min, clean-up.",
    )


class HoursForm(forms.Form):
    """Hours field by field."""

    day = forms.DateField(widget=DAY)
    length = DurationField(label="Time worked", help_text=HOW_TO_WRITE)
    began_at = forms.TimeField(label="From", required=False, widget=CLOCK)
    builds = forms.ModelMultipleChoiceField(
        Build.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )
    stage = forms.ChoiceField(choices=lambda: _with_none(stage_names()), required=False)
    split_by = forms.ChoiceField(label="Shared", choices=SPLITS, initial=EQUAL, required=False)
    reason = forms.CharField(
        label="Why it can't be billed",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"list": "reasons"}),
        help_text="Empty when it can.",
    )
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        builds = Build.objects.filter(state__in=OPEN_STATES)
        self.fields["builds"].queryset = builds  # type: ignore[attr-defined]
        self.reasons = reasons_in_use()

    def started_at(self) -> datetime | None:
        """Return the instant the work began, in the shop's time zone."""
        began: time | None = self.cleaned_data["began_at"]
        if began is None:
            return None
        return timezone.make_aware(datetime.combine(self.cleaned_data["day"], began))


class CorrectionForm(HoursForm):
    """What an entry should have said, and why."""

    why = forms.CharField(label="Why it is changed", max_length=200, required=False)

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
            "note": entry.note,
        }
        super().__init__(*args, initial=initial, **kwargs)
        own = Build.objects.filter(pk__in=[share.build_id for share in shares])
        field = self.fields["builds"]
        field.queryset = (field.queryset | own).distinct()  # type: ignore[attr-defined]
        names = list(dict.fromkeys([*stage_names(), at_stage]))
        self.fields["stage"].choices = _with_none(names)  # type: ignore[attr-defined]


def _with_none(names: list[str]) -> list[tuple[str, str]]:
    return [("", "none"), *((name, name) for name in names if name)]
