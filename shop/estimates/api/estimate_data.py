"""How estimates, back-tests and years of hours look in the API; hours are decimal numbers."""

from typing import Any

from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import Serializer
from shop.estimates.calc.quoting import LEVELS
from shop.models import BuildTemplate, EstimateSettings, RelatedTemplate

MOST_AT_ONCE = 12
PLACES = 4


class ApiNumberField(serializers.FloatField):
    """A number to four places."""

    def to_representation(self, value: Any) -> float:  # type: ignore[override]
        return round(float(value), PLACES)


class EstimateAsked(serializers.Serializer):
    """The build to estimate; without `option` those that are on as a rule, or none if `plain`."""

    on = serializers.DateField(required=False, help_text="As of this day; default: today.")
    batch = serializers.IntegerField(min_value=1, max_value=MOST_AT_ONCE, default=1)
    option = serializers.ListField(child=serializers.CharField(), required=False)
    plain = serializers.BooleanField(default=False)
    level = serializers.ChoiceField(
        choices=list(LEVELS.items()), required=False, help_text="Adds hours for a quote."
    )
    every = serializers.BooleanField(
        default=False, help_text="Every past build, not the weightiest and the latest only."
    )


class RangeData(serializers.Serializer):
    """Hours: the median, the average, safe figures and ranges."""

    median = ApiNumberField()
    mean = ApiNumberField()
    enough_80 = ApiNumberField()
    enough_90 = ApiNumberField()
    range_50 = serializers.ListField(child=ApiNumberField(), min_length=2, max_length=2)
    range_80 = serializers.ListField(child=ApiNumberField(), min_length=2, max_length=2)
    range_90 = serializers.ListField(child=ApiNumberField(), min_length=2, max_length=2)


class FiguresData(serializers.Serializer):
    """The template's own hours."""

    low = ApiNumberField()
    likely = ApiNumberField()
    high = ApiNumberField()


class EffectData(serializers.Serializer):
    """What a batch, an option or an early number does: times `factor`, fitted to builds or not."""

    name = serializers.CharField()
    factor = ApiNumberField()
    fitted = serializers.BooleanField()


class BehindData(serializers.Serializer):
    """One past build behind a stage: it counts as `weight` builds, by its own `build_stages`."""

    build = serializers.IntegerField(source="build.pk")
    serial = serializers.CharField(source="build.serial")
    hours = ApiNumberField()
    weight = ApiNumberField()
    is_related = serializers.BooleanField()
    build_stages = serializers.ListField(child=serializers.IntegerField())
    set_aside = serializers.ChoiceField(
        source="aside_by",
        choices=["", "build", "stage"],
        help_text="What leaves it out: the build or the stage.",
    )


class StageSheetData(serializers.Serializer):
    """One stage, and what its hours were made from. quoted: at the level asked for."""

    stage = serializers.IntegerField(source="stage.pk")
    name = serializers.CharField(source="stage.name")
    hours = RangeData()
    quoted = DecimalField(max_digits=8, decimal_places=1, allow_null=True)
    whose = serializers.CharField()
    template = FiguresData(source="figures")
    template_weight = ApiNumberField()
    past_weight = ApiNumberField()
    chance = ApiNumberField()
    effects = EffectData(many=True)
    past = BehindData(source="shown", many=True)
    past_left_out = serializers.IntegerField(help_text="Past builds that are not shown.")


class PastSheetData(serializers.Serializer):
    """One past build. elsewhere: its hours on no stage of the template."""

    build = serializers.IntegerField(source="build.pk")
    serial = serializers.CharField(source="build.serial")
    finished = serializers.DateField(source="past.finished")
    number = serializers.IntegerField(source="past.number")
    batch = serializers.IntegerField(source="past.batch")
    options = serializers.ListField(source="past.options", child=serializers.CharField())
    is_related = serializers.BooleanField(source="past.related")
    is_set_aside = serializers.BooleanField(source="past.set_aside")
    stages_set_aside = serializers.ListField(source="stages_aside", child=serializers.CharField())
    hours = ApiNumberField()
    elsewhere = ApiNumberField()
    weight = ApiNumberField()


class EstimateData(serializers.Serializer):
    """The hours of the next build of a template, with everything that they were made from."""

    template = serializers.IntegerField(source="record.template.pk")
    number = serializers.IntegerField(help_text="Number of the next build of this template.")
    batch = serializers.IntegerField()
    options = serializers.ListField(child=serializers.CharField())
    total = RangeData(source="estimate.total")
    total_quoted = DecimalField(max_digits=8, decimal_places=1, allow_null=True)
    past_builds = serializers.IntegerField(source="estimate.past_builds")
    few = serializers.BooleanField(source="estimate.few")
    whose = serializers.CharField(source="estimate.whose")
    common_share = ApiNumberField(source="estimate.common_share")
    stages = StageSheetData(many=True)
    not_estimated = serializers.ListField(
        child=serializers.CharField(), help_text="Stages without likely hours."
    )
    builds = PastSheetData(many=True)
    builds_left_out = serializers.IntegerField(help_text="Past builds that are not shown.")


class LossesData(serializers.Serializer):
    """Mean pinball loss in hours: of the estimate, and of two plain figures in its place."""

    estimate = ApiNumberField()
    likely = ApiNumberField()
    mean = ApiNumberField()


class ScoreData(serializers.Serializer):
    """How figures came out; the parts within the 50, 80 and 90 % ranges go from 0 to 1."""

    name = serializers.CharField()
    count = serializers.IntegerField()
    within_50 = ApiNumberField(allow_null=True)
    within_80 = ApiNumberField(allow_null=True)
    within_90 = ApiNumberField(allow_null=True)
    loss = LossesData(allow_null=True)
    middle_loss = LossesData(allow_null=True)


class CalibrationData(serializers.Serializer):
    """Of the middle `nominal` part of builds, the part that really fell within."""

    nominal = ApiNumberField()
    stages = ApiNumberField()
    total = ApiNumberField()


class BacktestData(serializers.Serializer):
    """Every past build estimated as on the day it was begun, and how that came out."""

    verdict = serializers.CharField()
    worse_than_mean = serializers.BooleanField(allow_null=True)
    builds = serializers.ListField(child=serializers.IntegerField())
    total = ScoreData()
    all_stages = ScoreData()
    stages = ScoreData(many=True)
    calibration = CalibrationData(many=True)


class NumberedData(serializers.Serializer):
    """One build by its number in the pattern; `why_not` says why it is not counted."""

    build = serializers.IntegerField(source="build.pk")
    serial = serializers.CharField(source="build.serial")
    number = serializers.IntegerField()
    hours = ApiNumberField()
    why_not = serializers.CharField()


class CurveData(serializers.Serializer):
    """A learning curve: the hours of the first build, and what each doubling leaves of them."""

    first_hours = ApiNumberField()
    rate = ApiNumberField()
    low = ApiNumberField(help_text="Lower end of the 95 % range of the rate.")
    high = ApiNumberField(help_text="Upper end of the 95 % range of the rate.")
    builds = serializers.IntegerField()
    typical_miss = ApiNumberField()
    words = serializers.CharField()


class LearningData(serializers.Serializer):
    """Hours by number in the pattern; no curve while learning can't be told from chance."""

    builds = NumberedData(many=True)
    builds_left_out = serializers.IntegerField(help_text="Past builds that are not shown.")
    curve = CurveData(allow_null=True)
    words = serializers.CharField(help_text="What the learning curve says, in a sentence.")


class SetAsideAsked(serializers.Serializer):
    """Whether to leave out of estimates or include: the build, or only these stages."""

    is_set_aside = serializers.BooleanField()
    stages = serializers.ListField(child=serializers.IntegerField(), required=False)


class SetAsideData(serializers.Serializer):
    """What of a build is left out of estimates now."""

    build = serializers.IntegerField()
    is_set_aside = serializers.BooleanField()
    stages_set_aside = serializers.ListField(child=serializers.IntegerField())


class IntoData(serializers.Serializer):
    """Minutes that went into one thing, as a part of all (0 to 1)."""

    name = serializers.CharField()
    minutes = ApiNumberField()
    part = ApiNumberField()
    billable = serializers.BooleanField()


class MonthData(serializers.Serializer):
    """Minutes of one month."""

    month = serializers.IntegerField()
    minutes = ApiNumberField()
    billable_minutes = ApiNumberField()
    billable_share = ApiNumberField(source="share", allow_null=True)


class YearData(serializers.Serializer):
    """Where the hours of a year went, in minutes."""

    year = serializers.IntegerField()
    minutes = ApiNumberField()
    billable_minutes = ApiNumberField()
    billable_share = ApiNumberField(source="share", allow_null=True)
    into = IntoData(many=True)
    stages = IntoData(many=True)
    months = MonthData(many=True)
    from_sheets = ApiNumberField()


class EstimateSettingsData(Serializer):
    """What every estimate takes for granted."""

    class Meta:
        model = EstimateSettings
        exclude = ["id"]


@example("another bouzouki", template=1, related=2, weight="0.40", factor="1.10")
class RelatedTemplateData(Serializer):
    """Another pattern whose past builds count too: each as `weight` builds of this one."""

    template = serializers.PrimaryKeyRelatedField(queryset=BuildTemplate.objects.all())
    related = serializers.PrimaryKeyRelatedField(queryset=BuildTemplate.objects.all())

    class Meta:
        model = RelatedTemplate
        fields = ["id", "template", "related", "weight", "factor"]

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        kept = self.instance if isinstance(self.instance, RelatedTemplate) else RelatedTemplate()
        template = asked.get("template", getattr(kept, "template", None))
        if template == asked.get("related", getattr(kept, "related", None)):
            raise serializers.ValidationError({"related": "A template always counts for itself."})
        return asked
