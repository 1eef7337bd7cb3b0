from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('shop', '0013_find_running_clocks'),
    ]

    operations = [
        migrations.AddField(
            model_name='timeentry',
            name='is_remake',
            field=models.BooleanField(default=False, help_text='On something that is made a second time.', verbose_name='making again'),
        ),
    ]
