from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0018_prices_with_tax'),
    ]

    operations = [
        migrations.AddField(
            model_name='pricingpolicy',
            name='bought_tax_rate',
            field=models.DecimalField(decimal_places=4, default=Decimal('0'), help_text='Of a shop that is not registered: what replacement prices typed net cost more.', max_digits=5, verbose_name='tax on what the shop buys'),
        ),
        migrations.AddField(
            model_name='quote',
            name='bought_tax_rate',
            field=models.DecimalField(decimal_places=4, default=Decimal('0'), help_text="Added to replacement prices that are typed net, where it can't be reclaimed.", max_digits=5, verbose_name='tax on what is bought'),
        ),
    ]
