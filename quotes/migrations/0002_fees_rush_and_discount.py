from decimal import Decimal

from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0001_first_rows"),
    ]

    operations = [
        migrations.AddField(
            model_name="pricingpolicy",
            name="dealer_discount",
            field=models.DecimalField(
                decimal_places=4,
                default=Decimal("0"),
                help_text="Off the list price.",
                max_digits=5,
            ),
        ),
        migrations.AddField(
            model_name="pricingpolicy",
            name="fee_fixed",
            field=inventory.fields.MoneyField(
                default=Decimal("0"), verbose_name="fixed fee of each payment"
            ),
        ),
        migrations.AddField(
            model_name="pricingpolicy",
            name="fee_percent",
            field=models.DecimalField(
                decimal_places=4,
                default=Decimal("0"),
                help_text="Of what is paid; 0.03 is 3 %.",
                max_digits=5,
                verbose_name="payment fee",
            ),
        ),
        migrations.AddField(
            model_name="quote",
            name="dealer_discount",
            field=models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=5),
        ),
        migrations.AddField(
            model_name="quote",
            name="fee_fixed",
            field=inventory.fields.MoneyField(default=Decimal("0")),
        ),
        migrations.AddField(
            model_name="quote",
            name="fee_percent",
            field=models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=5),
        ),
        migrations.AddField(
            model_name="quote",
            name="rush",
            field=models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=5),
        ),
    ]
