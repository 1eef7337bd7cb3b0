"""Materials: the kinds of thing the shop stocks, and what is known of each kind."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from inventory.base.calc.units import base_unit, from_base, unit_word
from inventory.fields import MoneyField, QuantityField
from inventory.models.species import Species


class Family(models.Model):
    """A shelf of the mind: tonewoods, fretwire, hardware, finish."""

    name = models.CharField(max_length=60, unique=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]
        verbose_name_plural = "families"

    def __str__(self) -> str:
        return self.name


class Supplier(models.Model):
    """Whoever sells to the shop."""

    name = models.CharField(max_length=120, unique=True)
    contact = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    currency = models.CharField(
        max_length=3, blank=True, help_text="ISO 4217 code; empty for the workshop's currency."
    )
    lead_time_days = models.PositiveSmallIntegerField(default=14)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Place(models.Model):
    """A shelf, drawer or rack where stock lies."""

    name = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class KeptAs(models.TextChoices):
    """How a material is kept; the value is the kind of quantity in `calc.units`."""

    PIECE = "piece", "piece: each with its own number"
    LENGTH = "length", "length"
    COUNT = "count", "count"
    VOLUME = "volume", "measure: volume"
    MASS = "mass", "measure: mass"
    AREA = "area", "area"


class CostMethod(models.TextChoices):
    """How the cost of what is drawn is found. A piece always has its own."""

    ACTUAL = "actual", "own cost (pieces)"
    FIFO = "fifo", "first in, first out"
    AVERAGE = "average", "moving average"

    @classmethod
    def fitting(cls, kept_as: str, method: str) -> "CostMethod":
        """Return `method` where it fits stock that is kept so, else the usual one."""
        if kept_as == KeptAs.PIECE:
            return cls.ACTUAL
        return cls.AVERAGE if method == cls.AVERAGE else cls.FIFO


class Material(models.Model):
    """A kind of thing that the shop stocks.

    `on_hand`, `unfit`, `promised` and `book_cost` are copies of what the journal and the promises
    say, written by `post_entry` and the promise services only. `unfit` counts the pieces on hand
    that nobody can be promised: rejected, downgraded, half sets. `promised` adds up the promises
    that hold stock (`HOLDS_STOCK`), so that nothing is both unfit and promised.
    """

    name = models.CharField(max_length=120, unique=True)
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="materials")
    kept_as = models.CharField(max_length=6, choices=KeptAs.choices)
    cost_method = models.CharField(
        max_length=7, choices=CostMethod.choices, default=CostMethod.FIFO
    )
    unit = models.CharField(max_length=4, help_text="The unit you enter and see.")
    supplier = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.SET_NULL, related_name="materials"
    )
    lead_time_days = models.PositiveSmallIntegerField(null=True, blank=True)
    replacement_price = models.DecimalField(
        max_digits=14,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="What it costs to buy today, per unit as shown, landed.",
    )
    replacement_checked_on = models.DateField(null=True, blank=True)
    realisable_price = models.DecimalField(
        max_digits=14,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="What one unit would sell for today.",
    )
    reorder_level = QuantityField(null=True, blank=True)
    species = models.ForeignKey(
        Species, null=True, blank=True, on_delete=models.SET_NULL, related_name="materials"
    )
    pack = QuantityField("pack size", null=True, blank=True)
    shelf_days = models.PositiveSmallIntegerField(
        "shelf life unopened, days", null=True, blank=True
    )
    open_days = models.PositiveSmallIntegerField(
        "shelf life once opened, days", null=True, blank=True
    )
    caution = models.TextField(blank=True, help_text="In plain words; read the data sheet.")
    pictograms = models.JSONField(
        default=list, blank=True, help_text="GHS codes on its label, such as GHS02."
    )
    data_sheet = models.FileField(upload_to="data-sheets/", blank=True)
    note = models.TextField(blank=True)
    is_archived = models.BooleanField(default=False)
    on_hand = QuantityField(default=Decimal(0), editable=False)
    unfit = QuantityField(default=Decimal(0), editable=False)
    promised = QuantityField(default=Decimal(0), editable=False)
    book_cost = MoneyField(default=Decimal(0), editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(promised__gte=0), name="material_promised_not_negative"
            ),
            models.CheckConstraint(
                condition=models.Q(kept_as="piece", cost_method="actual")
                | (~models.Q(kept_as="piece") & ~models.Q(cost_method="actual")),
                name="material_pieces_have_their_own_cost",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def fit(self) -> Decimal:
        """What is on hand and fit, promised or not, in base units: what a reorder level counts."""
        return self.on_hand - self.unfit

    @property
    def free(self) -> Decimal:
        """What is on hand, fit and promised to nobody, in base units; below 0 if over-promised."""
        return self.fit - self.promised

    @property
    def cost_of_one(self) -> Decimal | None:
        """What one unit as shown cost on average, to 0.0001; None where nothing is on hand."""
        if self.on_hand <= 0:
            return None
        return (self.book_cost / from_base(self.on_hand, self.unit)).quantize(Decimal("0.0001"))

    @property
    def lead_time(self) -> int | None:
        """Days from order to shelf: the material's own, else its supplier's."""
        if self.lead_time_days is not None:
            return self.lead_time_days
        return self.supplier.lead_time_days if self.supplier else None

    @property
    def is_piece(self) -> bool:
        return self.kept_as == KeptAs.PIECE

    @property
    def base_unit(self) -> str:
        return base_unit(self.kept_as)

    @property
    def unit_word(self) -> str:
        return unit_word(self.unit)
