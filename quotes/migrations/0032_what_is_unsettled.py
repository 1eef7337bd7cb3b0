from decimal import Decimal

from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    """Room for what of an invoice is not settled, so that open ones are found by an index."""

    dependencies = [("quotes", "0031_lists_by_day")]

    operations = [
        migrations.AddField(
            model_name="invoice",
            name="unsettled",
            field=inventory.fields.MoneyField(
                default=Decimal(0),
                editable=False,
                help_text=(
                    "What neither payments nor credit notes settle; "
                    "below 0 what was paid too much."
                ),
            ),
        ),
        migrations.AddIndex(
            model_name="invoice",
            index=models.Index(fields=["unsettled"], name="invoices_unsettled"),
        ),
    ]
