"""Keep with a price that was paid the line of the delivery it was paid for."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0028_lines_of_entries")]

    operations = [
        migrations.AddField(
            "pricenote",
            "delivery_line",
            models.ForeignKey(
                blank=True,
                help_text="Of a price that was paid: what it was paid for.",
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="price_notes",
                to="inventory.deliveryline",
            ),
        ),
    ]
