"""Weighings and readings that were noted by mistake are crossed out, not deleted."""

from django.db import migrations, models

CROSSED_OUT = models.BooleanField(
    default=False, help_text="Noted by mistake: kept, and not counted."
)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0024_when_counts_began")]

    operations = [
        migrations.AddField(
            model_name=name, name="is_crossed_out", field=CROSSED_OUT.clone()
        )
        for name in ("weighing", "moisturereading")
    ]
