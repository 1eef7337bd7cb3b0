"""A piece's state was kept as one word; its parts are kept instead: water, verdict, gone."""

from django.db import migrations, models

VERDICTS = [("downgraded", "downgraded"), ("rejected", "rejected")]
GONE = [
    ("drawn", "drawn"),
    ("used", "used"),
    ("rejected", "rejected"),
    ("returned", "sent back"),
    ("sold", "sold"),
    ("missing", "not found"),
    ("undone", "taken back"),
]


class Migration(migrations.Migration):
    dependencies = [("inventory", "0011_which_piece_first")]

    operations = [
        migrations.RenameField("piece", "state", "old_state"),
        migrations.AddField(
            "piece",
            "is_ready",
            models.BooleanField(
                default=False,
                help_text="Settled: it no longer loses or takes up water.",
                verbose_name="ready",
            ),
        ),
        migrations.AddField("piece", "is_half", models.BooleanField(default=False, editable=False)),
        migrations.AddField(
            "piece",
            "verdict",
            models.CharField(blank=True, choices=VERDICTS, editable=False, max_length=10, default=""),
            preserve_default=False,
        ),
        migrations.AddField(
            "piece",
            "gone",
            models.CharField(blank=True, choices=GONE, editable=False, max_length=10, default=""),
            preserve_default=False,
        ),
    ]
