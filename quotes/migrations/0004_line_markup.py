from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0003_holds_and_decisions"),
    ]

    operations = [
        migrations.AddField(
            model_name="quotematerial",
            name="markup",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="Empty: the quote's own.",
                max_digits=5,
                null=True,
            ),
        ),
    ]
