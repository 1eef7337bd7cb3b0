from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0016_failure_chances'),
    ]

    operations = [
        migrations.AddField(
            model_name='quoteextra',
            name='tax_kind',
            field=models.CharField(blank=True, choices=[('', 'with the instrument, in its price'), ('S', 'beside it, at a rate of its own'), ('Z', 'beside it, zero rated'), ('E', 'beside it, exempt')], default='', max_length=1, verbose_name='taxed'),
        ),
        migrations.AddField(
            model_name='quoteextra',
            name='tax_rate',
            field=models.DecimalField(blank=True, decimal_places=4, max_digits=5, null=True),
        ),
        migrations.AddField(
            model_name='quotematerial',
            name='tax_kind',
            field=models.CharField(blank=True, choices=[('', 'with the instrument, in its price'), ('S', 'beside it, at a rate of its own'), ('Z', 'beside it, zero rated'), ('E', 'beside it, exempt')], default='', max_length=1, verbose_name='taxed'),
        ),
        migrations.AddField(
            model_name='quotematerial',
            name='tax_rate',
            field=models.DecimalField(blank=True, decimal_places=4, max_digits=5, null=True),
        ),
    ]
