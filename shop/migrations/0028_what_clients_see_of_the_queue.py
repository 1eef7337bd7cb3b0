"""Whether clients see the week of their instrument and its place in the queue; no, until said."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0027_second_factor")]
    operations = [
        migrations.AddField(
            model_name="queuesettings",
            name="client_sees_week",
            field=models.BooleanField(
                default=False,
                help_text="On the page of their order: the week of the safe (80 %) date.",
                verbose_name="clients see the week their instrument is ready",
            ),
        ),
        migrations.AddField(
            model_name="queuesettings",
            name="client_sees_place",
            field=models.BooleanField(
                default=False, verbose_name="clients see their place in the queue"
            ),
        ),
    ]
