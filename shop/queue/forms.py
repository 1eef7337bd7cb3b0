"""Forms of the queue."""

from typing import Any

from django import forms

from inventory.base.forms import model_choice
from shop.base.forms import show_plainly
from shop.models import (
    OPEN_STATES,
    Build,
    BuildTemplate,
    OtherHands,
    QueueSettings,
    ShopThing,
    StageWindow,
    TemplateStage,
    ThingUse,
)

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class QueuePlaceForm(forms.Form):
    """A place in the queue."""

    place = forms.IntegerField(min_value=1)


class BlockForm(forms.Form):
    """The day before which a build can't go on."""

    not_before = forms.DateField(
        label="Can't go on before", required=False, widget=DAY, help_text="Empty: it can go on."
    )
    waits_for = forms.CharField(
        label="It waits for", max_length=60, required=False, help_text="Such as: a payment, wood."
    )


class PromiseForm(forms.Form):
    """A day to promise."""

    day = forms.DateField(label="Promised date", widget=DAY)
    reason = forms.CharField(max_length=200, required=False)
    told_how = forms.CharField(
        label="The client was told by",
        max_length=40,
        required=False,
        help_text="Such as: mail, letter, call. Needed when another day was promised before.",
    )


class HorizonForm(forms.Form):
    """How far ahead to look."""

    months = forms.ChoiceField(
        label="To be ordered",
        choices=[
            ("", "at any time"),
            ("1", "within a month"),
            ("3", "within three months"),
            ("6", "within six months"),
            ("12", "within a year"),
        ],
        required=False,
    )


class WhatIfForm(forms.Form):
    """What to try. Nothing is saved."""

    move = forms.ModelChoiceField(
        label="Move this build", queryset=Build.objects.none(), required=False
    )
    place = forms.IntegerField(label="to place", min_value=1, required=False)
    drop = forms.ModelChoiceField(
        label="Leave this build out", queryset=Build.objects.none(), required=False
    )
    accept = forms.ModelChoiceField(
        label="Accept one of this template", queryset=BuildTemplate.objects.none(), required=False
    )
    accept_place = forms.IntegerField(label="on place", min_value=1, required=False)
    first = forms.DateField(label="Days off from", required=False, widget=DAY)
    last = forms.DateField(label="to", required=False, widget=DAY)
    thing = forms.ModelChoiceField(
        label="More of this thing", queryset=ShopThing.objects.all(), required=False
    )
    more = forms.IntegerField(label="so many more", min_value=1, max_value=99, required=False)
    hours_a_week = forms.DecimalField(
        label="More hours a week at builds", min_value=-60, max_value=60, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        builds = Build.objects.filter(state__in=OPEN_STATES)
        for name in ("move", "drop"):
            model_choice(self, name).queryset = builds
        templates = BuildTemplate.objects.filter(is_archived=False)
        model_choice(self, "accept").queryset = templates

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if bool(first) != bool(last):
            self.add_error("last", "Give the first and the last day off.")
        elif first and last and last < first:
            self.add_error("last", "The last day off is before the first.")
        if data.get("move") and not data.get("place"):
            self.add_error("place", "Say to which place.")
        if data.get("thing") and not data.get("more"):
            self.add_error("more", "Enter how many more.")
        return data


class QueueSettingsForm(forms.ModelForm):
    """What the queue takes for granted."""

    class Meta:
        model = QueueSettings
        fields = [
            "build_share", "lost_share", "most_under_way", "public_holidays",
            "client_sees_week", "client_sees_place",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_plainly(self)


class ThingForm(forms.ModelForm):
    """A thing and how many there are."""

    class Meta:
        model = ShopThing
        fields = ["name", "count"]


class ThingUseForm(forms.ModelForm):
    """Which stage takes a thing, and which one gives it back."""

    class Meta:
        model = ThingUse
        fields = ["stage", "until", "units", "through_wait"]
        labels = {"until": "Until the end of", "stage": "Taken by"}
        help_texts = {"until": "Empty: the same stage."}

    def __init__(self, *args: Any, thing: ShopThing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.thing = thing
        stages = TemplateStage.objects.filter(template__is_archived=False)
        stages = stages.select_related("template").order_by("template__name", "position", "pk")
        for name in ("stage", "until"):
            field = self.fields[name]
            field.queryset = stages  # type: ignore[attr-defined]
            field.label_from_instance = lambda one: f"{one.template}: {one}"  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        stage, until = data.get("stage"), data.get("until")
        if stage and until and stage.template_id != until.template_id:
            self.add_error("until", "Both stages belong to one template. Choose one of the same.")
        elif stage and until and until.position < stage.position:
            self.add_error(
                "until",
                f"{self.instance.thing} would be held for ever, because {until} comes before "
                f"{stage}. Choose a later stage.",
            )
        thing = self.instance.thing
        if (data.get("units") or 0) > thing.count:
            self.add_error(
                "units",
                f"There are {thing.count} of {thing}. Take fewer, or raise the number first.",
            )
        if stage and ThingUse.objects.filter(thing=thing, stage=stage).exists():
            self.add_error("stage", f"{stage} takes {thing} already.")
        return data


class WindowForm(forms.ModelForm):
    """Within how many days after a stage the next one has to begin."""

    class Meta:
        model = StageWindow
        fields = ["stage", "most_days"]
        labels = {"stage": "After this stage", "most_days": "The next one begins within, days"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stages = TemplateStage.objects.filter(template__is_archived=False, window=None)
        stages = stages.select_related("template").order_by("template__name", "position", "pk")
        self.fields["stage"].queryset = stages  # type: ignore[attr-defined]
        self.fields["stage"].label_from_instance = lambda one: f"{one.template}: {one}"  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        stage, most = data.get("stage"), data.get("most_days")
        if stage and most is not None and most < stage.waiting_days:
            self.add_error(
                "most_days",
                f"{stage} waits {stage.waiting_days.normalize():f} days. Give at least as many.",
            )
        return data


class OtherHandsForm(forms.ModelForm):
    """Somebody who works beside the maker."""

    class Meta:
        model = OtherHands
        exclude: list[str] = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_plainly(self)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not any(value for name, value in data.items() if name != "name"):
            raise forms.ValidationError("Give at least one weekday hours.")
        return data
