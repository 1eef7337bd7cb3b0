"""Drop the mark of a paid price, which its kind says now, and find prices by kind."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0022_note_prices_that_hold")]

    operations = [
        migrations.RemoveField("pricenote", "is_paid"),
        migrations.AddIndex(
            "pricenote",
            models.Index(fields=["material", "kind", "noted_on"], name="price_note_of_kind"),
        ),
    ]
