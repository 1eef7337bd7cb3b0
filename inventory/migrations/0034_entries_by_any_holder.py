from django.db import migrations, models


class Migration(migrations.Migration):
    """SQLite never used the index that left out entries without a holder."""

    dependencies = [("inventory", "0033_near_to_rest")]

    operations = [
        migrations.RemoveIndex(model_name="stockentry", name="entry_of_holder"),
        migrations.AddIndex(
            model_name="stockentry",
            index=models.Index(fields=["holder"], name="entry_of_any_holder"),
        ),
    ]
