"""Keep how likely the hours of a template are to have changed since one of its builds."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0030_kept_lists")]

    operations = [
        migrations.AddField(
            "estimatesettings",
            "drift_chance",
            models.DecimalField(
                decimal_places=2,
                default=Decimal("0.15"),
                max_digits=3,
                validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.95"))],
                verbose_name="chance that hours changed since one of the builds, before they show it",
            ),
        ),
    ]
