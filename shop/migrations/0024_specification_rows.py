"""Rows of a specification in templates, and as agreed in builds."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0023_kept_answers'),
    ]

    operations = [
        migrations.AddField(
            model_name='build',
            name='specification_rows',
            field=models.JSONField(blank=True, default=list, help_text='As agreed now: name, value and unit of each.'),
        ),
        migrations.CreateModel(
            name='TemplateSpec',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('name', models.CharField(max_length=80)),
                ('value', models.CharField(blank=True, max_length=160, verbose_name='usual value')),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('choices', models.CharField(blank=True, max_length=300)),
                ('is_asked', models.BooleanField(default=True, verbose_name='asked for')),
                ('line', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='specs', to='shop.templateline')),
                ('option', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='specs', to='shop.templateoption')),
                ('template', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='specs', to='shop.buildtemplate')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
    ]
