"""Hours: what the clock or the maker said, kept raw beside every correction."""

from decimal import Decimal

from django.conf import settings
from django.db import models

from inventory.base.calc.days import day_words
from shop.hours.calc.durations import minutes_of
from shop.models.build import Build, BuildStage


class TimeEntry(models.Model):
    """A stretch of work by one person; running while `stopped_at` is empty.

    `raw_started_at`, `raw_stopped_at` and `raw_seconds` stay as first recorded. `started_at`,
    `stopped_at` and `seconds` are the effective ones, rewritten only by `correct_hours`, which
    also adds a `TimeCorrection`. What was typed without a clock has a day and seconds only.
    """

    class Source(models.TextChoices):
        CLOCK = "clock", "clock"
        TYPED = "typed", "typed in"
        SHEET = "sheet", "old sheet"

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    source = models.CharField(max_length=5, choices=Source.choices, default=Source.CLOCK)
    day = models.DateField(db_index=True, help_text="In the workshop's time zone.")
    raw_started_at = models.DateTimeField(null=True, blank=True)
    raw_stopped_at = models.DateTimeField(null=True, blank=True)
    raw_seconds = models.PositiveIntegerField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    stopped_at = models.DateTimeField(null=True, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True)
    is_billable = models.BooleanField(default=True)
    is_unsure = models.BooleanField(default=False)
    is_remake = models.BooleanField(
        "rework", default=False, help_text="Rework: something made a second time."
    )
    reason = models.CharField(max_length=80, blank=True, help_text="Reason not billable.")
    note = models.CharField(max_length=300, blank=True)
    split_by = models.CharField(max_length=8, default="equal")
    within = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="interruptions",
        help_text="The entry that this one interrupted, and whose time it shortens.",
    )
    recorded_at = models.DateTimeField()
    device_at = models.DateTimeField(null=True, blank=True, help_text="The device's own clock.")
    device_stopped_at = models.DateTimeField(null=True, blank=True)
    skew_seconds = models.IntegerField(
        default=0, help_text="The server's clock less the device's, as last noted."
    )

    class Meta:
        ordering = ["-day", "-started_at", "-pk"]
        verbose_name_plural = "time entries"
        indexes = [
            models.Index(fields=["day"], condition=models.Q(seconds=None), name="running_clocks"),
            models.Index(
                fields=["day"], condition=models.Q(is_unsure=True), name="paused_at_midnight"
            ),
            models.Index(
                fields=["reason", "recorded_at"],
                condition=models.Q(is_billable=False),
                name="reasons_not_billable",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}, {day_words(self.day)}"

    @property
    def is_running(self) -> bool:
        return self.seconds is None

    @property
    def minutes(self) -> Decimal:
        return minutes_of(self.seconds or 0)

    @property
    def raw_minutes(self) -> Decimal:
        return minutes_of(self.raw_seconds or 0)


class TimeShare(models.Model):
    """The part of a time entry that falls on one build and stage."""

    entry = models.ForeignKey(TimeEntry, on_delete=models.CASCADE, related_name="shares")
    build = models.ForeignKey(Build, on_delete=models.PROTECT, related_name="time_shares")
    stage = models.ForeignKey(
        BuildStage, null=True, blank=True, on_delete=models.PROTECT, related_name="time_shares"
    )
    seconds = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "build", "stage"], name="one_share_per_build_and_stage"
            ),
            models.UniqueConstraint(
                fields=["entry", "build"],
                condition=models.Q(stage=None),
                name="one_share_per_build_at_large",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.seconds} s of {self.build.serial}"

    @property
    def minutes(self) -> Decimal:
        return minutes_of(self.seconds)


class TimeCorrection(models.Model):
    """One change to a time entry: what it said before and after, and why."""

    entry = models.ForeignKey(TimeEntry, on_delete=models.CASCADE, related_name="corrections")
    before = models.JSONField()
    after = models.JSONField()
    why = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"correction of {self.entry}"


class BuildHours(models.Model):
    """Hours of a finished build by stage: a copy of its time entries, so that years of them need
    not be added up for each estimate. `keep_hours` alone writes it.

    stages: its stage's key, the template's stage behind it, name, whether it is left out of
    estimates, and seconds, without those of making again.
    """

    build = models.OneToOneField(Build, on_delete=models.CASCADE, related_name="kept_hours")
    stages = models.JSONField(default=list)

    class Meta:
        verbose_name_plural = "build hours"

    def __str__(self) -> str:
        return f"hours of {self.build}"
