"""Say of a noted price what it is the price of; one may be noted as no longer known."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0020_small_photos")]

    operations = [
        migrations.AddField(
            "pricenote",
            "kind",
            models.CharField(
                choices=[
                    ("replacement", "asked"),
                    ("paid", "paid, landed"),
                    ("realisable", "would fetch"),
                ],
                default="replacement",
                max_length=11,
            ),
        ),
        migrations.AlterField(
            "pricenote",
            "price",
            models.DecimalField(
                decimal_places=4,
                help_text="Home money, for one unit as shown.",
                max_digits=14,
                null=True,
            ),
        ),
    ]
