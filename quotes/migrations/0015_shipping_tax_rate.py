from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0014_dated_tax_rates'),
    ]

    operations = [
        migrations.AddField(
            model_name='quote',
            name='shipping_tax_rate',
            field=models.DecimalField(blank=True, decimal_places=4, help_text='Empty: as the instrument.', max_digits=5, null=True),
        ),
    ]
