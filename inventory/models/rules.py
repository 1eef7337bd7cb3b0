"""The shop's own rules for its stock: when wood is ready, what is cut off, how labels lie."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.fields import MoneyField, QuantityField


def _size(words: str, default: str) -> QuantityField:
    return QuantityField(words, default=Decimal(default), validators=[MinValueValidator(0)])


class TakeFirst(models.TextChoices):
    """Which of several pieces that would do is proposed; see `shop.pieces.calc`."""

    OLDEST = "oldest", "oldest first"
    DEAREST = "dearest", "most expensive first"


class StockRules(models.Model):
    """There is at most one row; without it the defaults hold."""

    ready_weighings = models.PositiveSmallIntegerField(
        "weighings that must agree",
        default=3,
        validators=[MinValueValidator(2), MaxValueValidator(12)],
    )
    ready_within = QuantityField(
        "within, percent", default=Decimal("0.4"), validators=[MinValueValidator(Decimal("0.001"))]
    )
    ready_days_apart = models.PositiveSmallIntegerField("days apart, at least", default=5)
    ready_near = QuantityField(
        "within points of the equilibrium moisture",
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(10)],
    )
    meter_doubt = QuantityField(
        "accuracy of the meter, points",
        default=Decimal(1),
        help_text="Two readings in three are within this. No source: see its data sheet.",
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(10)],
    )
    air_swing = QuantityField(
        "yearly swing of that moisture, points",
        default=Decimal("0.7"),
        help_text="Larger in a workshop without controlled air. No source.",
        validators=[MinValueValidator(0), MaxValueValidator(10)],
    )
    take_first = models.CharField(
        "propose pieces",
        max_length=7,
        choices=TakeFirst.choices,
        default=TakeFirst.OLDEST,
    )
    shop_celsius = QuantityField("workshop temperature, °C", default=Decimal(20))
    shop_humidity = QuantityField(
        "workshop humidity, percent",
        default=Decimal(45),
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    warn_days = models.PositiveSmallIntegerField("expiry warning, days before", default=30)
    service_level = QuantityField(
        "service level, percent",
        default=Decimal(95),
        validators=[MinValueValidator(50), MaxValueValidator(Decimal("99.9"))],
    )
    order_cost = MoneyField(
        "cost of placing an order", default=Decimal(10), validators=[MinValueValidator(0)]
    )
    holding_percent = QuantityField(
        "yearly storage cost, percent of the price",
        default=Decimal(20),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(200)],
    )
    kerf_mm = _size("kerf, mm", "1.5")
    trim_mm = _size("trim at each end, mm", "0")
    least_length_mm = _size("shortest remnant to keep, mm", "100")
    least_width_mm = _size("narrowest remnant to keep, mm", "25")
    label_columns = models.PositiveSmallIntegerField(
        "labels across", default=3, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    label_rows = models.PositiveSmallIntegerField(
        "labels down", default=8, validators=[MinValueValidator(1), MaxValueValidator(50)]
    )
    label_width_mm = _size("width of a label, mm", "63.5")
    label_height_mm = _size("height of a label, mm", "33.9")
    label_left_mm = _size("left margin, mm", "7.2")
    label_top_mm = _size("top margin, mm", "12.9")
    label_gap_across_mm = _size("gap between labels across, mm", "2.5")
    label_gap_down_mm = _size("gap between labels down, mm", "0")

    class Meta:
        verbose_name_plural = "stock rules"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_set_of_stock_rules"),
        ]

    def __str__(self) -> str:
        return "Stock rules"
