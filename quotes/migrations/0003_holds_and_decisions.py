from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0002_fees_rush_and_discount"),
    ]

    operations = [
        migrations.AddField(
            model_name="quote",
            name="decided_by",
            field=models.CharField(blank=True, max_length=120),
        ),
        migrations.AddField(
            model_name="quote",
            name="decline_reason",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AddField(
            model_name="quote",
            name="held_until",
            field=models.DateField(blank=True, help_text="Last day of a hold on stock.", null=True),
        ),
    ]
