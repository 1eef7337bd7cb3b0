"""Further instruments in one order: a quote that is part of another one."""

import django.db.models.deletion
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quotes', '0040_specification_rows'),
        ('shop', '0026_ends_of_tokens'),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='quote',
            name='quote_number_and_version_once',
        ),
        migrations.AddField(
            model_name='quote',
            name='batch_saving',
            field=models.DecimalField(decimal_places=4, default=Decimal('0'), help_text='Share of its hours that making it beside the first one saves.', max_digits=5, verbose_name='hours saved beside the first instrument'),
        ),
        migrations.AddField(
            model_name='quote',
            name='part_of',
            field=models.ForeignKey(blank=True, help_text='The first instrument of the order that this one belongs to.', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='further', to='quotes.quote'),
        ),
        migrations.AddField(
            model_name='quote',
            name='place',
            field=models.PositiveSmallIntegerField(default=0, help_text='Among the further instruments of its order.'),
        ),
        migrations.AddConstraint(
            model_name='quote',
            constraint=models.UniqueConstraint(condition=models.Q(models.Q(('number', ''), _negated=True), ('part_of', None)), fields=('number', 'version'), name='quote_number_and_version_once'),
        ),
    ]
