from decimal import Decimal

import django.db.models.deletion
from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0006_gross_as_sent'),
    ]

    operations = [
        migrations.CreateModel(
            name='Change',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(help_text='Within the commission, from 1.')),
                ('state', models.CharField(choices=[('offered', 'offered'), ('agreed', 'agreed'), ('declined', 'declined')], default='offered', max_length=8)),
                ('title', models.CharField(max_length=160)),
                ('words', models.TextField(blank=True, help_text='What the specification says from now on.')),
                ('hours', models.DecimalField(decimal_places=2, default=Decimal('0'), max_digits=6)),
                ('cost', inventory.fields.MoneyField(default=Decimal('0'), help_text='Of materials and outside work.')),
                ('price', inventory.fields.MoneyField(help_text="Net, in the quote's currency.")),
                ('days_added', models.SmallIntegerField(default=0)),
                ('is_paid_ahead', models.BooleanField(default=True)),
                ('is_billed', models.BooleanField(default=True, help_text='Off: given away.', verbose_name='billed')),
                ('offered_on', models.DateField()),
                ('decided_at', models.DateTimeField(blank=True, null=True)),
                ('decided_by', models.CharField(blank=True, max_length=120)),
                ('document', models.FileField(blank=True, editable=False, upload_to='changes/')),
                ('document_sha256', models.CharField(blank=True, editable=False, max_length=64)),
                ('commission', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='changes', to='quotes.commission')),
                ('quote', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='changes', to='quotes.quote')),
            ],
            options={
                'ordering': ['commission', 'number'],
            },
        ),
        migrations.AddConstraint(
            model_name='change',
            constraint=models.UniqueConstraint(fields=('commission', 'number'), name='change_number_once_in_a_commission'),
        ),
    ]
