"""Forms that carry an old sheet from the file to the books."""

from typing import Any

from django import forms

from shop.past_sheets.calc.records import OUT, OWN, Columns, StageUse
from shop.past_sheets.queries import Preview, SheetChoices

ROLES = {
    "build": "Build number or name",
    "title": "Title",
    "stage": "Stage",
    "hours": "Hours",
    "started": "Started",
    "finished": "Done",
    "batch": "Batch",
    "options": "Options",
}
DAY_ORDER = [("day", "3 April"), ("month", "March 4")]


class FileForm(forms.Form):
    """A file, or rows pasted from one."""

    file = forms.FileField(
        required=False,
        label="CSV or XLSX file",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        help_text="From an XLSX file, the first sheet is used.",
    )
    pasted = forms.CharField(
        required=False,
        label="Or paste rows from a spreadsheet",
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Include the header row.",
    )

    def clean(self) -> dict[str, Any]:
        if not self.errors and not any(self.cleaned_data.values()):
            raise forms.ValidationError("Choose a file, or paste rows.")
        return self.cleaned_data


class ReadingForm(forms.Form):
    """Which column is what, how days are written, and what each stage is called here."""

    day_order = forms.ChoiceField(label="3/4/2021 means", choices=DAY_ORDER)
    undated = forms.DateField(
        required=False,
        label="Date done for builds without one",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args: Any, preview: Preview, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.preview = preview
        self.fields["day_order"].initial = "day" if preview.day_first else "month"
        self.fields["undated"].initial = preview.undated
        headers = [(f"{n}", header or f"column {n + 1}") for n, header in _headers(preview)]
        for role, label in ROLES.items():
            self.fields[f"column_{role}"] = forms.ChoiceField(
                label=label,
                required=False,
                choices=[("", "none"), *headers],
                initial=_text(getattr(preview.columns, role)),
            )
        self._add_uses(preview)

    def _add_uses(self, preview: Preview) -> None:
        stages = [(f"stage:{stage.pk}", stage.name) for stage in preview.stages]
        rest = [("own", "keep as a stage of its own"), ("out", "leave out")]
        for place, (name, suggestion) in enumerate(preview.suggestions.items()):
            self.fields[f"use_{place}"] = forms.ChoiceField(
                label=name,
                required=False,
                choices=[("", "choose"), *stages, *rest],
                initial=_value(suggestion.use),
            )

    @property
    def column_fields(self) -> list[forms.BoundField]:
        """The fields that say which column is what, then how days are read."""
        names = [*(f"column_{role}" for role in ROLES), "day_order", "undated"]
        return [self[name] for name in names]

    @property
    def use_rows(self) -> list[tuple[forms.BoundField, bool]]:
        """The field of each name of a stage, and whether its choice is a guess."""
        return [
            (self[f"use_{place}"], suggestion.guessed)
            for place, suggestion in enumerate(self.preview.suggestions.values())
        ]


def choices_in(posted: Any) -> SheetChoices:
    """Return what the maker has chosen for a sheet in a posted `ReadingForm`."""
    if "column_build" not in posted:
        return SheetChoices()
    undated = forms.DateField(required=False)
    try:
        day = undated.clean(posted.get("undated", ""))
    except forms.ValidationError:
        day = None
    return SheetChoices(
        columns=_columns(posted),
        uses=_uses(posted),
        day_first=posted.get("day_order") != "month",
        undated=day,
    )


def _columns(posted: Any) -> Columns:
    found = {
        role: int(text) for role in ROLES if (text := posted.get(f"column_{role}", "")).isdecimal()
    }
    count = int(posted.get("width", 0)) if posted.get("width", "").isdecimal() else 0
    found = {role: place for role, place in found.items() if place < count}
    taken = set(found.values())
    rest = tuple(place for place in range(count) if place not in taken)
    is_by_stage = "stage" in found and "hours" in found
    return Columns(**found, stages=() if is_by_stage else rest)


def _uses(posted: Any) -> dict[str, StageUse]:
    """Return name → use; the name of `use_3` is in `name_3`, as it was when it was shown."""
    found = {}
    for key, value in posted.items():
        use = _use(value) if key.startswith("use_") else None
        if use:
            found[posted.get(key.replace("use_", "name_"), "")] = use
    return found


def _use(value: str) -> StageUse | None:
    kind, _, key = value.partition(":")
    if kind == "stage" and key.isdecimal():
        return StageUse(kind="stage", stage=int(key))
    return {"own": OWN, "out": OUT}.get(value)


def _value(use: StageUse | None) -> str:
    if use is None:
        return ""
    return f"stage:{use.stage}" if use.kind == "stage" else use.kind


def _headers(preview: Preview) -> list[tuple[int, str]]:
    return list(enumerate(preview.sheet.headers))


def _text(place: int | None) -> str:
    return "" if place is None else f"{place}"
