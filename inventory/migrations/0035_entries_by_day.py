from django.db import migrations, models


class Migration(migrations.Migration):
    """The journal is sent in the order of its days without sorting all of it first."""

    dependencies = [("inventory", "0034_entries_by_any_holder")]

    operations = [
        migrations.AddIndex(
            model_name="stockentry",
            index=models.Index(fields=["happened_at", "id"], name="entry_by_day"),
        ),
    ]
