"""Builds: one instrument being made, its stages, and what it needs."""

from decimal import Decimal

from django.conf import settings
from django.db import models

from inventory.base.calc.days import day_words
from inventory.fields import MoneyField, QuantityField
from inventory.models import Family, Material, StockEntry
from shop.models.template import BuildTemplate, TemplateLine, TemplateStage


class Batch(models.Model):
    """Two or more builds made side by side, sharing time and draws."""

    name = models.CharField(max_length=80, unique=True)

    class Meta:
        verbose_name_plural = "batches"

    def __str__(self) -> str:
        return self.name


class BuildState(models.TextChoices):
    """Where a build stands."""

    PLANNED = "planned", "planned"
    UNDER_WAY = "under_way", "in progress"
    FINISHED = "finished", "done"
    CLOSED = "closed", "closed out"
    CANCELLED = "cancelled", "cancelled"


OPEN_STATES = (BuildState.PLANNED, BuildState.UNDER_WAY)
FINISHED_STATES = (BuildState.FINISHED, BuildState.CLOSED)


class OldSheet(models.Model):
    """One load of a maker's old sheet: where builds from before these books come from."""

    template = models.ForeignKey(BuildTemplate, on_delete=models.PROTECT, related_name="old_sheets")
    name = models.CharField(max_length=120, blank=True, help_text="Of the file.")
    loaded_at = models.DateTimeField()
    loaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)

    class Meta:
        ordering = ["-loaded_at", "-pk"]

    def __str__(self) -> str:
        return self.name or f"pasted on {day_words(self.loaded_at)}"


class Build(models.Model):
    """One instrument, known by its serial number for decades."""

    serial = models.CharField(max_length=20, unique=True)
    title = models.CharField(max_length=160)
    template = models.ForeignKey(
        BuildTemplate, null=True, blank=True, on_delete=models.PROTECT, related_name="builds"
    )
    batch = models.ForeignKey(
        Batch, null=True, blank=True, on_delete=models.SET_NULL, related_name="builds"
    )
    state = models.CharField(max_length=10, choices=BuildState.choices, default=BuildState.PLANNED)
    specification = models.TextField(blank=True)
    specification_rows = models.JSONField(
        default=list, blank=True, help_text="As agreed now: name, value and unit of each."
    )
    options = models.JSONField(default=list, blank=True)
    made_on = models.DateField(help_text="The day it was created.")
    promised_on = models.DateField(null=True, blank=True)
    started_on = models.DateField(null=True, blank=True)
    finished_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    is_set_aside = models.BooleanField(
        default=False, help_text="Visible, but left out of estimates."
    )
    old_sheet = models.ForeignKey(
        OldSheet, null=True, blank=True, on_delete=models.PROTECT, related_name="builds"
    )

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.serial} {self.title}"

    @property
    def holder(self) -> str:
        """The key under which stock knows this build."""
        return f"build:{self.pk}"

    @property
    def is_open(self) -> bool:
        return self.state in OPEN_STATES


class BuildStage(models.Model):
    """A stage of one build, with the hours that were planned when it was accepted."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="stages")
    template_stage = models.ForeignKey(
        TemplateStage, null=True, blank=True, on_delete=models.SET_NULL
    )
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    hours_low = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal(0))
    hours_planned = models.DecimalField(max_digits=6, decimal_places=2)
    hours_high = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal(0))
    waiting_days = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(0))
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    is_set_aside = models.BooleanField(default=False)

    class Meta:
        ordering = ["build", "position", "pk"]

    def __str__(self) -> str:
        return self.name


class BuildLine(models.Model):
    """A material that a build needs, with the quantity and cost that were planned."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="lines")
    template_line = models.ForeignKey(
        TemplateLine, null=True, blank=True, on_delete=models.SET_NULL
    )
    stage = models.ForeignKey(BuildStage, null=True, blank=True, on_delete=models.SET_NULL)
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    family = models.ForeignKey(Family, null=True, blank=True, on_delete=models.PROTECT)
    material = models.ForeignKey(Material, null=True, blank=True, on_delete=models.PROTECT)
    quantity = QuantityField(help_text="Net, in base units.")
    to_draw = QuantityField(help_text="With waste, in base units: what is reserved.")
    planned_cost = MoneyField()

    class Meta:
        ordering = ["build", "position", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """The key under which a promise knows this line."""
        return f"line:{self.pk}"


class BuildDraw(models.Model):
    """Which line and stage of a build a stock entry belongs to."""

    build = models.ForeignKey(Build, on_delete=models.PROTECT, related_name="draws")
    line = models.ForeignKey(BuildLine, null=True, blank=True, on_delete=models.PROTECT)
    stage = models.ForeignKey(BuildStage, null=True, blank=True, on_delete=models.SET_NULL)
    entry = models.OneToOneField(StockEntry, on_delete=models.PROTECT, related_name="build_draw")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.entry} for {self.build.serial}"


class BuildNote(models.Model):
    """A note or a photo of a build, kept with the day it was made."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="notes")
    stage = models.ForeignKey(BuildStage, null=True, blank=True, on_delete=models.SET_NULL)
    text = models.TextField(blank=True)
    photo = models.ImageField(upload_to="builds/%Y/", blank=True)
    small = models.ImageField(upload_to="builds/%Y/", blank=True, help_text="For lists.")
    is_released = models.BooleanField(
        "client can see the photo", default=False, help_text="On the client's page."
    )
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT
    )

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.text[:60] or "photo"


class LostDays(models.Model):
    """Days on which a build could not go on, and why."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="lost_days")
    days = models.PositiveSmallIntegerField()
    reason = models.CharField(max_length=60)
    note = models.CharField(max_length=200, blank=True)
    noted_on = models.DateField()

    class Meta:
        ordering = ["noted_on", "pk"]
        verbose_name_plural = "lost days"
        constraints = [
            models.CheckConstraint(condition=models.Q(days__gt=0), name="lost_days_are_some"),
        ]

    def __str__(self) -> str:
        return f"{self.days} days of {self.build.serial}: {self.reason}"
