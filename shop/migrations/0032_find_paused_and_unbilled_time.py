"""Find what midnight paused, and the reasons for unbilled hours, without reading years of hours."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0031_hours_that_changed")]

    operations = [
        migrations.AddIndex(
            model_name="timeentry",
            index=models.Index(
                condition=models.Q(("is_unsure", True)), fields=["day"], name="paused_at_midnight"
            ),
        ),
        migrations.AddIndex(
            model_name="timeentry",
            index=models.Index(
                condition=models.Q(("is_billable", False)),
                fields=["reason", "recorded_at"],
                name="reasons_not_billable",
            ),
        ),
    ]
