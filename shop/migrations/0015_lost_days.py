import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('shop', '0014_made_again'),
    ]

    operations = [
        migrations.CreateModel(
            name='LostDays',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('days', models.PositiveSmallIntegerField()),
                ('reason', models.CharField(max_length=60)),
                ('note', models.CharField(blank=True, max_length=200)),
                ('noted_on', models.DateField()),
                ('build', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lost_days', to='shop.build')),
            ],
            options={
                'verbose_name_plural': 'lost days',
                'ordering': ['noted_on', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('days__gt', 0)), name='lost_days_are_some')],
            },
        ),
    ]
