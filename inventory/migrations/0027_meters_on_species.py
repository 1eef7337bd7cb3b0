"""What the sheet of a meter says of single species."""

import django.db.models.deletion
import inventory.fields
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0026_listed_since'),
    ]

    operations = [
        migrations.AlterField(
            model_name='meter',
            name='slope',
            field=inventory.fields.QuantityField(default=Decimal('1'), help_text='Of its sheet, for species that are not told below.'),
        ),
        migrations.CreateModel(
            name='MeterSpecies',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('slope', inventory.fields.QuantityField(default=Decimal('1'))),
                ('offset', inventory.fields.QuantityField(default=Decimal('0'), help_text='Percent of moisture.')),
                ('meter', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='of_species', to='inventory.meter')),
                ('species', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='inventory.species')),
            ],
            options={
                'verbose_name_plural': 'meter species',
                'ordering': ['species__name'],
                'constraints': [models.UniqueConstraint(fields=('meter', 'species'), name='a_meter_says_one_thing_of_a_species')],
            },
        ),
    ]
