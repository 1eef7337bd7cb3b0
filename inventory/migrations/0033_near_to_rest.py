"""Keep what tells how near wood is to its rest: oven-dried samples, doubts, the day it was ready."""

from decimal import Decimal

import inventory.fields
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import migrations, models


def ready_since_weighed(apps, _editor):
    """Take the last weighing as the day for what is ready already: the books know no other."""
    piece, weighing = (apps.get_model("inventory", name) for name in ("Piece", "Weighing"))
    last = (
        weighing.objects.filter(lot=models.OuterRef("pk"), is_crossed_out=False)
        .order_by("-weighed_on")
        .values("weighed_on")[:1]
    )
    piece.objects.filter(is_ready=True).update(ready_on=models.Subquery(last))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0032_fibre_saturation")]

    operations = [
        migrations.AddField(
            "piece",
            "ready_on",
            models.DateField(
                blank=True,
                editable=False,
                help_text="The day on which its water said so.",
                null=True,
            ),
        ),
        migrations.AddField(
            "moisturereading",
            "is_by_oven",
            models.BooleanField(
                default=False, help_text="Of a sample that was dried in an oven, not by a meter."
            ),
        ),
        migrations.AddField(
            "stockrules",
            "ready_near",
            inventory.fields.QuantityField(
                default=Decimal(1),
                validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(10)],
                verbose_name="within points of the moisture at which it rests",
            ),
        ),
        migrations.AddField(
            "stockrules",
            "meter_doubt",
            inventory.fields.QuantityField(
                default=Decimal(1),
                help_text="Two readings in three lie within. No source: see the sheet of yours.",
                validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(10)],
                verbose_name="a meter may be off by so many points",
            ),
        ),
        migrations.AddField(
            "stockrules",
            "air_swing",
            inventory.fields.QuantityField(
                default=Decimal("0.7"),
                help_text="More in a shop whose air is left to the seasons. No source.",
                validators=[MinValueValidator(0), MaxValueValidator(10)],
                verbose_name="over a year that moisture rises and falls by points",
            ),
        ),
        migrations.RunPython(ready_since_weighed, migrations.RunPython.noop),
    ]
