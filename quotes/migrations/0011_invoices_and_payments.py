from decimal import Decimal

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0010_year_plan'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Invoice',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('deposit', 'deposit'), ('stage', 'stage payment'), ('balance', 'balance'), ('whole', 'whole price'), ('change', 'change'), ('credit', 'credit note')], max_length=7)),
                ('part', models.PositiveSmallIntegerField(blank=True, help_text='Which part of the price, counted from 0.', null=True)),
                ('number', models.CharField(max_length=20, unique=True)),
                ('issued_on', models.DateField()),
                ('due_on', models.DateField()),
                ('currency', models.CharField(max_length=3)),
                ('exchange_rate', models.DecimalField(decimal_places=6, default=Decimal('1'), max_digits=14)),
                ('net', inventory.fields.MoneyField()),
                ('tax', inventory.fields.MoneyField()),
                ('gross', inventory.fields.MoneyField()),
                ('home_net', inventory.fields.MoneyField()),
                ('home_tax', inventory.fields.MoneyField()),
                ('why', models.CharField(blank=True, max_length=300)),
                ('frozen', models.JSONField(editable=False)),
                ('document', models.FileField(editable=False, upload_to='invoices/')),
                ('document_sha256', models.CharField(editable=False, max_length=64)),
                ('change', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='quotes.change')),
                ('commission', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='quotes.commission')),
                ('credits', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='credit_notes', to='quotes.invoice')),
                ('quote', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='quotes.quote')),
            ],
            options={
                'ordering': ['-issued_on', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='Payment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(help_text='Of its receipt.', max_length=20, unique=True)),
                ('received_on', models.DateField()),
                ('currency', models.CharField(max_length=3)),
                ('amount', inventory.fields.MoneyField()),
                ('home', inventory.fields.MoneyField()),
                ('fee', inventory.fields.MoneyField(default=Decimal('0'))),
                ('way', models.CharField(choices=[('transfer', 'bank transfer'), ('card', 'card'), ('cash', 'cash'), ('other', 'other')], default='transfer', max_length=8)),
                ('note', models.CharField(blank=True, max_length=200)),
                ('recorded_at', models.DateTimeField()),
                ('client', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='payments', to='quotes.client')),
                ('commission', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='payments', to='quotes.commission')),
                ('counter_to', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='countered_by', to='quotes.payment')),
                ('invoice', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='payments', to='quotes.invoice')),
                ('recorded_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-received_on', '-pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='payment',
            constraint=models.CheckConstraint(condition=models.Q(('amount', 0), _negated=True), name='payment_is_not_nothing'),
        ),
    ]
