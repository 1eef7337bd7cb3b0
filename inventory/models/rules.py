"""The shop's own rules for its stock: when wood is ready, what is cut off, how labels lie."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.fields import MoneyField, QuantityField


def _size(words: str, default: str) -> QuantityField:
    return QuantityField(words, default=Decimal(default), validators=[MinValueValidator(0)])


class TakeFirst(models.TextChoices):
    """Which of several pieces that would do is proposed; see `shop.pieces.calc`."""

    OLDEST = "oldest", "the oldest first"
    DEAREST = "dearest", "the dearest first"


class StockRules(models.Model):
    """There is at most one row; without it the defaults hold."""

    ready_weighings = models.PositiveSmallIntegerField(
        "weighings that have to agree",
        default=3,
        validators=[MinValueValidator(2), MaxValueValidator(12)],
    )
    ready_within = QuantityField(
        "within, percent", default=Decimal("0.4"), validators=[MinValueValidator(Decimal("0.001"))]
    )
    ready_days_apart = models.PositiveSmallIntegerField("at least days apart", default=5)
    ready_near = QuantityField(
        "within points of the moisture at which it rests",
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(10)],
    )
    meter_doubt = QuantityField(
        "a meter may be off by so many points",
        default=Decimal(1),
        help_text="Two readings in three lie within. No source: see the sheet of yours.",
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(10)],
    )
    air_swing = QuantityField(
        "over a year that moisture rises and falls by points",
        default=Decimal("0.7"),
        help_text="More in a shop whose air is left to the seasons. No source.",
        validators=[MinValueValidator(0), MaxValueValidator(10)],
    )
    take_first = models.CharField(
        "of several pieces, propose",
        max_length=7,
        choices=TakeFirst.choices,
        default=TakeFirst.OLDEST,
    )
    shop_celsius = QuantityField("shop temperature, °C", default=Decimal(20))
    shop_humidity = QuantityField(
        "shop humidity, percent",
        default=Decimal(45),
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    warn_days = models.PositiveSmallIntegerField("warn of expiry, days before", default=30)
    service_level = QuantityField(
        "stock should last in so many of 100 lead times",
        default=Decimal(95),
        validators=[MinValueValidator(50), MaxValueValidator(Decimal("99.9"))],
    )
    order_cost = MoneyField(
        "what one order costs to place", default=Decimal(10), validators=[MinValueValidator(0)]
    )
    holding_percent = QuantityField(
        "what keeping stock costs a year, percent of its price",
        default=Decimal(20),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(200)],
    )
    kerf_mm = _size("saw cut, mm", "1.5")
    trim_mm = _size("trimmed off each end, mm", "0")
    least_length_mm = _size("least length worth keeping, mm", "100")
    least_width_mm = _size("least width worth keeping, mm", "25")
    label_columns = models.PositiveSmallIntegerField(
        "labels across", default=3, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    label_rows = models.PositiveSmallIntegerField(
        "labels down", default=8, validators=[MinValueValidator(1), MaxValueValidator(50)]
    )
    label_width_mm = _size("width of a label, mm", "63.5")
    label_height_mm = _size("height of a label, mm", "33.9")
    label_left_mm = _size("paper left of the first label, mm", "7.2")
    label_top_mm = _size("paper above the first label, mm", "12.9")
    label_gap_across_mm = _size("gap between labels across, mm", "2.5")
    label_gap_down_mm = _size("gap between labels down, mm", "0")

    class Meta:
        verbose_name_plural = "stock rules"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_set_of_stock_rules"),
        ]

    def __str__(self) -> str:
        return "Stock rules"
