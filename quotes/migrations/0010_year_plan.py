from decimal import Decimal

from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0009_bank_and_terms_of_payment'),
    ]

    operations = [
        migrations.CreateModel(
            name='Overhead',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('yearly', inventory.fields.MoneyField(verbose_name='in a year')),
                ('position', models.PositiveSmallIntegerField(default=0)),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='YearPlan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weeks', models.DecimalField(decimal_places=1, default=Decimal('46'), max_digits=4, verbose_name='weeks a year')),
                ('weekly_hours', models.DecimalField(decimal_places=1, default=Decimal('40'), max_digits=4, verbose_name='hours a week')),
                ('billable_share', models.DecimalField(decimal_places=4, default=Decimal('0.60'), max_digits=5)),
                ('wanted_pay', inventory.fields.MoneyField(default=Decimal('30000'), verbose_name='pay wanted in a year')),
                ('profit_margin', models.DecimalField(decimal_places=4, default=Decimal('0.10'), max_digits=5)),
                ('rate_step', inventory.fields.MoneyField(default=Decimal('1'), verbose_name='round the rate up to')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('pk', 1)), name='one_year_plan')],
            },
        ),
    ]
