"""Build templates: an instrument pattern with its materials, its stages and its options."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.fields import MoneyField, QuantityField
from inventory.models import Family, Material


class WasteRule(models.TextChoices):
    """How more is drawn than ends up in the instrument; see `inventory.shelf.calc`."""

    NONE = "none", "none"
    WHOLE = "whole", "whole units, some rejected"
    PERCENT = "percent", "length or area plus a percentage"
    CUTTING = "cutting", "cut from stock, with kerf and remnant"
    SHARE = "share", "share of a pack"
    SPARES = "spares", "count plus spares"


class BuildTemplate(models.Model):
    """An instrument pattern. Starter templates hold seed values, to be overwritten."""

    name = models.CharField(max_length=120, unique=True)
    description = models.TextField(blank=True)
    is_starter = models.BooleanField(default=False)
    is_archived = models.BooleanField(default=False)
    note_to_self = models.TextField(blank=True, help_text="Shown when you make the next quote.")
    made_before = models.PositiveSmallIntegerField(
        default=0, help_text="Number made before you used Gramil."
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class TemplateOption(models.Model):
    """What switches lines and stages of its template on or off; of one choice exactly one is on."""

    template = models.ForeignKey(BuildTemplate, on_delete=models.CASCADE, related_name="options")
    name = models.CharField(max_length=80)
    is_on = models.BooleanField("on by default", default=False)
    one_of = models.CharField(
        max_length=80, blank=True, help_text="Group of alternatives; empty if it stands alone."
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["template", "name"], name="option_named_once"),
        ]

    def __str__(self) -> str:
        return self.name


class TemplateStage(models.Model):
    """A step of the work: hands-on hours as low, likely and high, then days of waiting."""

    template = models.ForeignKey(BuildTemplate, on_delete=models.CASCADE, related_name="stages")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    hours_low = models.DecimalField(max_digits=6, decimal_places=2)
    hours_likely = models.DecimalField(max_digits=6, decimal_places=2)
    hours_high = models.DecimalField(max_digits=6, decimal_places=2)
    waiting_days = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(0))
    waiting_for = models.CharField(max_length=80, blank=True)
    saving_two = models.DecimalField(
        "saving per instrument, batch of two", max_digits=4, decimal_places=3, default=Decimal(0)
    )
    saving_four = models.DecimalField(
        "saving per instrument, batch of four", max_digits=4, decimal_places=3, default=Decimal(0)
    )
    option = models.ForeignKey(
        TemplateOption, null=True, blank=True, on_delete=models.CASCADE, related_name="stages"
    )
    caution = models.TextField(blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(
                    hours_low__gte=0,
                    hours_likely__gte=models.F("hours_low"),
                    hours_high__gte=models.F("hours_likely"),
                ),
                name="stage_hours_in_order",
                violation_error_message="Hours must rise from low to likely to high.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


def _least_size() -> QuantityField:
    return QuantityField(null=True, blank=True, validators=[MinValueValidator(0)])


class TemplateLine(models.Model):
    """A material of a template: how much ends up in the instrument, and how it is wasted.

    A line with no `material` yet is priced by its own seed figures for the whole line. `wood`,
    `piece_parts` and the least sizes of a piece are what a piece that is proposed has to meet.
    """

    template = models.ForeignKey(BuildTemplate, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    family = models.ForeignKey(Family, on_delete=models.PROTECT)
    material = models.ForeignKey(Material, null=True, blank=True, on_delete=models.PROTECT)
    quantity = models.DecimalField(
        max_digits=12, decimal_places=3, validators=[MinValueValidator(0)]
    )
    unit = models.CharField(max_length=4)
    stock_size = models.CharField(max_length=120, blank=True)
    wood = models.CharField(
        max_length=120,
        blank=True,
        help_text="A species or kind, such as Sitka spruce, or maple, sycamore. Empty for any.",
    )
    piece_length_mm = _least_size()
    piece_width_mm = _least_size()
    piece_thickness_mm = _least_size()
    piece_parts = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="2 for a matched pair."
    )
    cost_low = MoneyField(default=Decimal(0))
    cost_likely = MoneyField(default=Decimal(0))
    cost_high = MoneyField(default=Decimal(0))
    waste_rule = models.CharField(max_length=7, choices=WasteRule.choices, default=WasteRule.NONE)
    waste_rate = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.95"))],
        help_text="0.08 is 8 %.",
    )
    spares = models.DecimalField(max_digits=8, decimal_places=3, default=Decimal(0))
    cut_length_mm = QuantityField(null=True, blank=True)
    stock_length_mm = QuantityField(null=True, blank=True)
    kerf_mm = QuantityField(default=Decimal(0))
    least_remnant_mm = QuantityField(default=Decimal(0))
    option = models.ForeignKey(
        TemplateOption, null=True, blank=True, on_delete=models.CASCADE, related_name="lines"
    )
    stage = models.ForeignKey(
        TemplateStage, null=True, blank=True, on_delete=models.SET_NULL, related_name="lines"
    )

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_bare_share(self) -> bool:
        """Say whether the line is a share of some pack, with no measure of it."""
        return self.waste_rule == WasteRule.SHARE and self.unit == "ea"


class TemplateSpec(models.Model):
    """A row of what is settled with the client: its usual value, and whether it is asked.

    `choices` are parted by semicolons. The piece chosen for `line` fills the row. A row of an
    `option` stands in for its namesake once the option is on.
    """

    template = models.ForeignKey(BuildTemplate, on_delete=models.CASCADE, related_name="specs")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    value = models.CharField("usual value", max_length=160, blank=True)
    unit = models.CharField(max_length=12, blank=True)
    choices = models.CharField(max_length=300, blank=True)
    is_asked = models.BooleanField("asked for", default=True)
    line = models.ForeignKey(
        TemplateLine, null=True, blank=True, on_delete=models.SET_NULL, related_name="specs"
    )
    option = models.ForeignKey(
        TemplateOption, null=True, blank=True, on_delete=models.CASCADE, related_name="specs"
    )

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class TemplateFailure(models.Model):
    """Something that goes wrong in a stage: in one build of so many, and what it then costs.

    Each time `hours` are redone; left empty, all hours from `redo_from`, or of the stage alone,
    to the end of the stage. `lost` are lines of which one more is taken; what a line's own
    reject rate pays for is not counted again.
    """

    stage = models.ForeignKey(TemplateStage, on_delete=models.CASCADE, related_name="failures")
    name = models.CharField(max_length=120)
    one_in = models.PositiveSmallIntegerField(validators=[MinValueValidator(2)])
    hours = models.DecimalField(
        max_digits=6, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    redo_from = models.ForeignKey(
        TemplateStage, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    lost = models.ManyToManyField(TemplateLine, blank=True, related_name="+")

    class Meta:
        ordering = ["stage__position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(one_in__gte=2),
                name="template_failure_one_in_two_at_most",
                violation_error_message="One build in 2 is the most you can enter.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.stage_id and self.redo_from and self.redo_from.position > self.stage.position:
            raise ValidationError({"redo_from": "Choose an earlier stage."})
