"""The queue: places in it, things there is a number of, what was forecast and what was promised."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.base.calc.days import day_words
from shop.models.build import Build
from shop.models.template import TemplateStage


class QueuePlace(models.Model):
    """Where the maker moved a build in the queue, and what it has to wait for besides.

    Builds without a place come in the order of the day on which they were entered.
    """

    build = models.OneToOneField(Build, on_delete=models.CASCADE, related_name="queue_place")
    position = models.PositiveIntegerField(null=True, blank=True)
    not_before = models.DateField(
        null=True, blank=True, help_text="The first day on which its next stage can be worked on."
    )
    waits_for = models.CharField(max_length=60, blank=True, help_text="Such as a payment.")

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"place of {self.build.serial}"


class ShopThing(models.Model):
    """A thing that builds hold while they need it: a mould, a bending form, a drying rack."""

    name = models.CharField(max_length=60, unique=True)
    count = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ThingUse(models.Model):
    """A stage that takes things at its start and keeps them to its end, or to a later stage's."""

    thing = models.ForeignKey(ShopThing, on_delete=models.CASCADE, related_name="uses")
    stage = models.ForeignKey(TemplateStage, on_delete=models.CASCADE, related_name="thing_uses")
    until = models.ForeignKey(
        TemplateStage, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    units = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    through_wait = models.BooleanField("also while it waits afterwards", default=True)

    class Meta:
        ordering = ["thing__name", "stage__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["thing", "stage"], name="thing_taken_once_by_a_stage"),
        ]

    def __str__(self) -> str:
        return f"{self.thing}, {self.stage}"


class StageWindow(models.Model):
    """Within how many days after a stage the next one has to begin."""

    stage = models.OneToOneField(TemplateStage, on_delete=models.CASCADE, related_name="window")
    most_days = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.stage}: within {self.most_days} days"


class QueueSettings(models.Model):
    """What the queue takes for granted of the shop. At most one row; empty fields are learned."""

    build_share = models.DecimalField(
        "share of bench hours that goes to builds",
        max_digits=3,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.05")), MaxValueValidator(1)],
        help_text="Empty: learned from the clock. Messages, repairs and visits take the rest.",
    )
    lost_share = models.DecimalField(
        "share of open days lost to illness and visitors",
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.04"),
        validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.5"))],
    )
    most_under_way = models.PositiveSmallIntegerField(
        "builds in progress at the same time, at most",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
    )
    public_holidays = models.BooleanField("closed on public holidays", default=True)
    client_sees_week = models.BooleanField(
        "clients see the week their instrument is ready",
        default=False,
        help_text="On the page of their order: the week of the safe (80 %) date.",
    )
    client_sees_place = models.BooleanField("clients see their place in the queue", default=False)

    class Meta:
        verbose_name_plural = "queue settings"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_row_of_queue_settings")
        ]

    def __str__(self) -> str:
        return "what the queue takes for granted"


class OtherHands(models.Model):
    """Somebody who works on builds beside the maker, by their own week."""

    name = models.CharField(max_length=80, unique=True)
    monday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    tuesday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    wednesday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    thursday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    friday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    saturday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    sunday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "other hands"

    def __str__(self) -> str:
        return self.name

    @property
    def hours(self) -> tuple[Decimal, ...]:
        """Hours from Monday to Sunday."""
        return (
            self.monday,
            self.tuesday,
            self.wednesday,
            self.thursday,
            self.friday,
            self.saturday,
            self.sunday,
        )


class QueueForecast(models.Model):
    """What the queue said on one day, and the fingerprint of what it was worked out from."""

    on = models.DateField(unique=True)
    stamp = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    builds = models.JSONField(default=dict)

    class Meta:
        ordering = ["-on"]

    def __str__(self) -> str:
        return f"forecast of {day_words(self.on)}"


class PromisedDay(models.Model):
    """A day that was promised for a build, with what the queue said of it then."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="promised_days")
    day = models.DateField()
    chance = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    forecast_50 = models.DateField(null=True, blank=True)
    forecast_80 = models.DateField(null=True, blank=True)
    stamp = models.CharField(max_length=64, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    told_how = models.CharField("client told by", max_length=40, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "pk"]

    def __str__(self) -> str:
        return f"{self.build.serial}, {day_words(self.day)}"


class CalendarLink(models.Model):
    """A secret address of the calendar; only its hash is kept."""

    secret_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"calendar link of {day_words(self.made_at)}"
