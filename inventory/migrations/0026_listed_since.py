"""The day since which a species is listed, to stand beside the day that a lot came in."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0025_crossed_out_readings")]

    operations = [
        migrations.AddField(
            model_name="species",
            name="listed_since",
            field=models.DateField(
                blank=True,
                help_text="As you read it: lots show whether they came in before that day.",
                null=True,
            ),
        ),
    ]
