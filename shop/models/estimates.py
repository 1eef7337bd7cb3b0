"""How hours are estimated here: what is taken for granted, which patterns help each other."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from shop.models.template import BuildTemplate, TemplateStage


def _doubt(words: str, usual: str) -> models.DecimalField:
    """Return a field for how far an effect may stray from the template's."""
    return models.DecimalField(
        words,
        max_digits=3,
        decimal_places=2,
        default=Decimal(usual),
        validators=[MinValueValidator(Decimal("0.01"))],
    )


class EstimateSettings(models.Model):
    """What estimates take for granted; see `shop.estimates.calc.assumptions`. At most one row."""

    class Likely(models.TextChoices):
        MEDIAN = "median", "the median: half of builds take less"
        MODE = "mode", "the most frequent figure"

    low_percentile = models.PositiveSmallIntegerField(
        "low: percent of builds that take less",
        default=10,
        validators=[MinValueValidator(1), MaxValueValidator(49)],
    )
    high_percentile = models.PositiveSmallIntegerField(
        "high: percent of builds that take less",
        default=90,
        validators=[MinValueValidator(51), MaxValueValidator(99)],
    )
    likely_is = models.CharField(
        "likely is", max_length=6, choices=Likely.choices, default=Likely.MEDIAN
    )
    worth = models.DecimalField(
        "weight of the likely hours, in past builds",
        max_digits=4,
        decimal_places=1,
        default=Decimal(2),
        validators=[MinValueValidator(Decimal("0.1"))],
    )
    spread_worth = models.DecimalField(
        "weight of the spread, in past builds",
        max_digits=4,
        decimal_places=1,
        default=Decimal(6),
        validators=[MinValueValidator(Decimal("2.1"))],
    )
    half_life_years = models.DecimalField(
        "years until a past build has half weight",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        default=Decimal(6),
        validators=[MinValueValidator(Decimal("0.1"))],
        help_text="Leave empty to ignore age.",
    )
    least_each_side = models.PositiveSmallIntegerField(
        "builds needed with and without an option or batch to measure its effect",
        default=3,
        validators=[MinValueValidator(1)],
    )
    settled_number = models.PositiveSmallIntegerField(
        "build number at which learning ends",
        default=10,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
    )
    first_more = models.DecimalField(
        "extra hours of the first build, as a part of its hours",
        max_digits=3,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(5)],
    )
    pooled_worth = models.DecimalField(
        "weight of a template’s ranges, in past stages",
        max_digits=4,
        decimal_places=1,
        default=Decimal(10),
        validators=[MinValueValidator(Decimal("0.1"))],
    )
    drift_chance = models.DecimalField(
        "chance that hours changed since one of the builds, before they show it",
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.15"),
        validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.95"))],
    )
    common_share = models.DecimalField(
        "shared deviation, until past builds show it",
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.3"),
        validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.95"))],
    )
    common_worth = models.DecimalField(
        "weight of the shared deviation, in past builds",
        max_digits=4,
        decimal_places=1,
        default=Decimal(3),
        validators=[MinValueValidator(Decimal("0.1"))],
    )
    batch_doubt = _doubt("uncertainty of a batch’s saving", "0.5")
    option_doubt = _doubt("uncertainty of an option’s hours", "0.2")
    learning_doubt = _doubt("uncertainty of learning", "0.1")
    template_doubt = _doubt("uncertainty of a whole template", "0.3")

    class Meta:
        verbose_name_plural = "estimate settings"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_row_of_estimate_settings")
        ]

    def __str__(self) -> str:
        return "estimate settings"


class RelatedTemplate(models.Model):
    """Another pattern whose past builds count, a little, in the estimates of `template`."""

    template = models.ForeignKey(
        BuildTemplate, on_delete=models.CASCADE, related_name="related_templates"
    )
    related = models.ForeignKey(
        BuildTemplate, on_delete=models.CASCADE, related_name="helps_templates"
    )
    weight = models.DecimalField(
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.5"),
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(1)],
        help_text="Weight of its builds in this template.",
    )
    factor = models.DecimalField(
        max_digits=4,
        decimal_places=2,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.05"))],
        help_text="Its hours compared with this template: 1.2 for a larger instrument.",
    )

    class Meta:
        ordering = ["related__name"]
        constraints = [
            models.UniqueConstraint(fields=["template", "related"], name="related_template_once"),
            models.CheckConstraint(
                condition=~models.Q(template=models.F("related")),
                name="template_not_related_to_itself",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.related}, for {self.template}"


class StageAlias(models.Model):
    """What a stage is called in the maker's old sheets, so that it is asked for only once."""

    class Use(models.TextChoices):
        STAGE = "stage", "a stage of the template"
        OWN = "own", "keep it as a stage of its own"
        OUT = "out", "left out"

    template = models.ForeignKey(
        BuildTemplate, on_delete=models.CASCADE, related_name="stage_aliases"
    )
    written = models.CharField(max_length=120, help_text="In lower case, as compared.")
    use = models.CharField(max_length=5, choices=Use.choices, default=Use.STAGE)
    stage = models.ForeignKey(
        TemplateStage, null=True, blank=True, on_delete=models.CASCADE, related_name="aliases"
    )

    class Meta:
        ordering = ["written"]
        verbose_name_plural = "stage aliases"
        constraints = [
            models.UniqueConstraint(fields=["template", "written"], name="stage_alias_once"),
            models.CheckConstraint(
                condition=models.Q(use="stage", stage__isnull=False)
                | (~models.Q(use="stage") & models.Q(stage__isnull=True)),
                name="stage_alias_names_a_stage",
            ),
        ]

    def __str__(self) -> str:
        return f"“{self.written}” in {self.template}"
