"""Entries that were written at once name the first of them, so that they are undone together."""

import django.db.models.deletion
from django.db import migrations, models

REASONS = [
    ("received", "received"),
    ("drawn", "drawn"),
    ("returned", "returned to the shelf"),
    ("scrapped", "scrapped"),
    ("cut", "cut"),
    ("split", "split"),
    ("sold", "sold"),
    ("counted", "count difference"),
    ("sent_back", "sent back to the supplier"),
    ("made", "made up"),
    ("downgraded", "downgraded"),
    ("rejected", "rejected"),
    ("cost_moved", "cost moved"),
    ("corrected", "corrected"),
]

class Migration(migrations.Migration):
    dependencies = [("inventory", "0015_unfit_pieces")]

    operations = [
        migrations.AlterField(
            "stockentry", "reason", models.CharField(choices=REASONS, max_length=10)
        ),
        migrations.AddField(
            "stockentry",
            "act",
            models.ForeignKey(
                blank=True,
                db_index=False,
                help_text="The first entry of what was done at once, such as a cut; "
                "empty for itself.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="together",
                to="inventory.stockentry",
            ),
        ),
        migrations.AddIndex(
            "stockentry",
            models.Index(
                condition=models.Q(("act__isnull", False)), fields=["act"], name="entry_of_act"
            ),
        ),
    ]
