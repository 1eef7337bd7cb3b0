from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quotes', '0025_receipts_as_first_printed'),
    ]

    operations = [
        migrations.AddField(
            model_name='invoice',
            name='deliver_to',
            field=models.CharField(blank=True, help_text='ISO 3166 code of the country it goes to.', max_length=2),
        ),
        migrations.AddField(
            model_name='invoice',
            name='delivered_on',
            field=models.DateField(blank=True, help_text='Empty: not yet, or not said.', null=True),
        ),
        migrations.AlterField(
            model_name='quote',
            name='tax_kind',
            field=models.CharField(choices=[('S', 'home, at the standard rate'), ('Z', 'zero rated'), ('G', 'export, not taxed here'), ('K', 'intra-community supply, to a business in another member state'), ('AE', 'reverse charge'), ('E', 'exempt'), ('O', 'not registered')], default='O', max_length=2),
        ),
    ]
