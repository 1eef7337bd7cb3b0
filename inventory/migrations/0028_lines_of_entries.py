"""Keep with a stock entry the line of its holder that it was taken for."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0027_meters_on_species")]

    operations = [
        migrations.AddField(
            "stockentry",
            "line",
            models.CharField(
                blank=True,
                default="",
                help_text="The holder's own key of a line.",
                max_length=40,
            ),
        ),
    ]
