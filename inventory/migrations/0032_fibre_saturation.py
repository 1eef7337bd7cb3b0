"""Keep of each species the moisture below which it shrinks: 22 % for western redcedar."""

from decimal import Decimal

import inventory.fields
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import migrations


def own_of_redcedar(apps, _editor):
    species = apps.get_model("inventory", "Species").objects
    species.filter(botanical_name="Thuja plicata").update(fibre_saturation=Decimal(22))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0031_ends_of_strings")]

    operations = [
        migrations.AddField(
            "species",
            "fibre_saturation",
            inventory.fields.QuantityField(
                default=Decimal(30),
                help_text="Percent of moisture above which it does not move: 30 for most species.",
                validators=[MinValueValidator(Decimal(15)), MaxValueValidator(Decimal(40))],
            ),
        ),
        migrations.RunPython(own_of_redcedar, migrations.RunPython.noop),
    ]
