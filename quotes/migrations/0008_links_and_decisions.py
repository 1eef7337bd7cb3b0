import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0007_changes'),
    ]

    operations = [
        migrations.CreateModel(
            name='ClientLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_sha256', models.CharField(editable=False, max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('expires_on', models.DateField(help_text='The last day it opens.')),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('opened_at', models.DateTimeField(blank=True, help_text='When it was first read.', null=True)),
                ('quote', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='links', to='quotes.quote')),
            ],
            options={
                'ordering': ['-pk'],
            },
        ),
        migrations.CreateModel(
            name='Decision',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('said', models.CharField(choices=[('yes', 'accepted'), ('no', 'declined')], max_length=3)),
                ('name', models.CharField(help_text='As it was typed.', max_length=120)),
                ('words', models.CharField(blank=True, max_length=300)),
                ('decided_at', models.DateTimeField()),
                ('document_sha256', models.CharField(max_length=64)),
                ('link', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='decisions', to='quotes.clientlink')),
                ('quote', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='decision', to='quotes.quote')),
            ],
            options={
                'ordering': ['-decided_at'],
            },
        ),
    ]
