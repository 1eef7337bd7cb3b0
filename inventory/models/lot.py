"""Lots and pieces: what lies on the shelf, each with its own cost and story."""

from collections.abc import Iterable
from decimal import Decimal

from django.db import models
from django.db.models import Case, F, Q, Value, When

from inventory.fields import MoneyField, QuantityField
from inventory.models.delivery import DeliveryLine
from inventory.models.material import Material, Place, Supplier


class Lot(models.Model):
    """Stock that came in together at one landed cost; a piece is a lot of one.

    `remaining` and `remaining_cost` copy the journal and are written by `post_entry` only.
    `remaining` may fall below 0: what happened in the shop is always recorded.
    """

    number = models.CharField(max_length=12, unique=True)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT)
    delivery_line = models.ForeignKey(
        DeliveryLine, null=True, blank=True, on_delete=models.PROTECT, related_name="lots"
    )
    cut_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="parts"
    )
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL)
    received_on = models.DateField()
    opened_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    country = models.CharField(
        "country of harvest", max_length=2, blank=True, help_text="ISO 3166 code, such as CA."
    )
    note = models.TextField(blank=True)
    remaining = QuantityField(default=Decimal(0), editable=False)
    remaining_cost = MoneyField(default=Decimal(0), editable=False)

    class Meta:
        ordering = ["received_on", "pk"]
        indexes = [
            models.Index(
                fields=["material", "received_on", "id"],
                condition=models.Q(remaining__gt=0),
                name="lot_on_shelf",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.material}"


class PieceState(models.TextChoices):
    """Where a piece stands in its life.

    *Promised* is told by its promise and *ordered* by the order sheet: before it is here, a piece
    has no number.
    """

    SEASONING = "seasoning", "drying"
    READY = "ready", "available"
    HALF = "half", "half set"
    DOWNGRADED = "downgraded", "downgraded"
    REJECTED = "rejected", "rejected"
    DRAWN = "drawn", "drawn"
    USED = "used", "used"
    RETURNED = "returned", "sent back"
    SOLD = "sold", "sold"
    MISSING = "missing", "not found"
    UNDONE = "undone", "reversed"


SHELF_STATES = (PieceState.SEASONING, PieceState.READY)
VERDICTS = (PieceState.DOWNGRADED, PieceState.REJECTED)
GONE = (
    PieceState.DRAWN,
    PieceState.USED,
    PieceState.REJECTED,
    PieceState.RETURNED,
    PieceState.SOLD,
    PieceState.MISSING,
    PieceState.UNDONE,
)


def _choices(states: Iterable[PieceState]) -> list[tuple[str, str]]:
    return [(state.value, str(state.label)) for state in states]


def _state() -> Case:
    """What takes a piece off the shelf comes first, then what it was judged, then its water."""
    return Case(
        When(~Q(gone=""), then=F("gone")),
        When(~Q(verdict=""), then=F("verdict")),
        When(is_half=True, then=Value(PieceState.HALF.value)),
        When(is_ready=True, then=Value(PieceState.READY.value)),
        default=Value(PieceState.SEASONING.value),
    )


class Piece(models.Model):
    """One individual thing, or a matched set of `parts`; its stock side is its lot of one.

    `gone` and `verdict` copy the journal and are written by `post_entry` only; the database works
    `state` out. Only a piece in one of `SHELF_STATES` can be promised.
    """

    lot = models.OneToOneField(Lot, primary_key=True, on_delete=models.CASCADE)
    state = models.GeneratedField(
        expression=_state(),
        output_field=models.CharField(max_length=10, choices=PieceState.choices),
        choices=PieceState.choices,
        db_persist=True,
    )
    is_ready = models.BooleanField(
        "ready", default=False, help_text="Near equilibrium with the air in your workshop."
    )
    ready_on = models.DateField(
        null=True, blank=True, editable=False, help_text="The day on which its water said so."
    )
    is_half = models.BooleanField(default=False, editable=False)
    verdict = models.CharField(
        max_length=10, choices=_choices(VERDICTS), blank=True, editable=False
    )
    gone = models.CharField(max_length=10, choices=_choices(GONE), blank=True, editable=False)
    parts = models.PositiveSmallIntegerField(default=1, help_text="2 for a matched pair.")
    length_mm = QuantityField(null=True, blank=True)
    width_mm = QuantityField(null=True, blank=True)
    thickness_mm = QuantityField(null=True, blank=True, help_text="The mean, if the piece tapers.")
    mass_g = QuantityField(null=True, blank=True)
    grade = models.CharField(max_length=80, blank=True, help_text="In your own words.")
    felled_on = models.DateField(null=True, blank=True)
    log = models.CharField(
        max_length=60, blank=True, help_text="Pieces with the same log or billet belong together."
    )
    part_masses = models.CharField(
        "mass of each part, g", max_length=120, blank=True, help_text="In order, such as 434 434."
    )

    class Meta:
        ordering = ["lot__number"]

    def __str__(self) -> str:
        return str(self.lot)

    @property
    def is_unfit(self) -> bool:
        """On the shelf, but not to be reserved."""
        return self.state in (PieceState.HALF, *VERDICTS)
