from django.db import migrations, models


class Migration(migrations.Migration):
    """The journal is sent in the order of its days without sorting all of it first."""

    dependencies = [("inventory", "0035_plain_words")]

    operations = [
        migrations.AddIndex(
            model_name="stockentry",
            index=models.Index(fields=["happened_at", "id"], name="entry_by_day"),
        ),
    ]
