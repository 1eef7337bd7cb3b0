"""Keep what estimates take for granted of a template as a whole, and of the first of a pattern."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0018_plain_words")]

    operations = [
        migrations.AddField(
            "estimatesettings",
            "first_more",
            models.DecimalField(
                decimal_places=2,
                default=Decimal(0),
                max_digits=3,
                validators=[MinValueValidator(0), MaxValueValidator(5)],
                verbose_name="extra hours of the first build, as a part of its hours",
            ),
        ),
        migrations.AddField(
            "estimatesettings",
            "pooled_worth",
            models.DecimalField(
                decimal_places=1,
                default=Decimal(10),
                max_digits=4,
                validators=[MinValueValidator(Decimal("0.1"))],
                verbose_name="weight of a template’s ranges, in past stages",
            ),
        ),
        migrations.AddField(
            "estimatesettings",
            "template_doubt",
            models.DecimalField(
                decimal_places=2,
                default=Decimal("0.3"),
                max_digits=3,
                validators=[MinValueValidator(Decimal("0.01"))],
                verbose_name="uncertainty of a whole template",
            ),
        ),
    ]
