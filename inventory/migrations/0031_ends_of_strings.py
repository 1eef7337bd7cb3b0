"""Keep of a single string whether it ends in a ball or in a loop."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0030_find_deliveries_of_prices")]

    operations = [
        migrations.AddField(
            "singlestring",
            "end",
            models.CharField(
                blank=True,
                choices=[("ball", "ball end"), ("loop", "loop end")],
                default="",
                max_length=4,
            ),
        ),
    ]
