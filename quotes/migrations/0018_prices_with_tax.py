from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0017_tax_of_rows'),
    ]

    operations = [
        migrations.AddField(
            model_name='pricingpolicy',
            name='prices_with_tax',
            field=models.BooleanField(default=False, help_text='Shipping, own lines and the price step; the tax is taken out of them.', verbose_name='prices are typed with tax'),
        ),
        migrations.AddField(
            model_name='quote',
            name='prices_with_tax',
            field=models.BooleanField(default=False, help_text='Shipping, own lines and the price step are with tax; it is taken out of them.', verbose_name='prices typed with tax'),
        ),
    ]
