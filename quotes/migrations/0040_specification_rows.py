"""Rows of a specification in quotes, and those that change orders replace."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quotes', '0039_time_and_materials'),
    ]

    operations = [
        migrations.AddField(
            model_name='change',
            name='rows',
            field=models.JSONField(blank=True, default=list, help_text='Rows of the specification that it replaces: name, before, value and unit.'),
        ),
        migrations.AlterField(
            model_name='change',
            name='words',
            field=models.TextField(blank=True, help_text='The new specification, in free words.'),
        ),
        migrations.CreateModel(
            name='QuoteSpec',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('name', models.CharField(max_length=80)),
                ('value', models.CharField(blank=True, max_length=160)),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('choices', models.CharField(blank=True, max_length=300)),
                ('is_asked', models.BooleanField(default=True, verbose_name='asked for')),
                ('option', models.CharField(blank=True, max_length=80)),
                ('material', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='specs', to='quotes.quotematerial')),
                ('quote', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='specs', to='quotes.quote')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
    ]
