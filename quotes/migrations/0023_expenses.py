import django.db.models.deletion
from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0022_decline_under'),
        ('shop', '0015_lost_days'),
    ]

    operations = [
        migrations.CreateModel(
            name='Expense',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('outside', 'outside work'), ('shipping', 'shipping')], max_length=8)),
                ('about', models.CharField(blank=True, max_length=120, verbose_name='what for')),
                ('amount', inventory.fields.MoneyField(help_text='In home money, without tax that is reclaimed.')),
                ('paid_on', models.DateField()),
                ('build', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='expenses', to='shop.build')),
            ],
            options={
                'ordering': ['paid_on', 'pk'],
            },
        ),
    ]
