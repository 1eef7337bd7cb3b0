from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0013_offered_options'),
    ]

    operations = [
        migrations.CreateModel(
            name='DatedTaxRate',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(default='standard', max_length=30)),
                ('since', models.DateField(help_text='The first day it holds.', verbose_name='from')),
                ('rate', models.DecimalField(decimal_places=4, help_text='0.20 is 20 %.', max_digits=5)),
            ],
            options={
                'ordering': ['name', '-since'],
                'constraints': [models.UniqueConstraint(fields=('name', 'since'), name='one_rate_of_a_name_a_day')],
            },
        ),
    ]
