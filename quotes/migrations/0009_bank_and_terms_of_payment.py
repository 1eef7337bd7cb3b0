from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0008_links_and_decisions'),
    ]

    operations = [
        migrations.AddField(
            model_name='pricingpolicy',
            name='account_holder',
            field=models.CharField(blank=True, max_length=70),
        ),
        migrations.AddField(
            model_name='pricingpolicy',
            name='bic',
            field=models.CharField(blank=True, max_length=11, verbose_name='bank code (BIC)'),
        ),
        migrations.AddField(
            model_name='pricingpolicy',
            name='iban',
            field=models.CharField(blank=True, max_length=42, verbose_name='account number (IBAN)'),
        ),
        migrations.AddField(
            model_name='pricingpolicy',
            name='payment_days',
            field=models.PositiveSmallIntegerField(default=14, help_text='0: due at once.', verbose_name='days to pay an invoice'),
        ),
    ]
