import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """SQLite read the whole journal to find what followed an entry: most follow none."""

    dependencies = [("inventory", "0036_entries_by_day")]

    operations = [
        migrations.AlterField(
            model_name="stockentry",
            name="about",
            field=models.ForeignKey(
                blank=True,
                db_index=False,
                help_text="The entry that this one reverses or returns stock of.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="followed_by",
                to="inventory.stockentry",
            ),
        ),
        migrations.AddIndex(
            model_name="stockentry",
            index=models.Index(
                condition=models.Q(about__isnull=False), fields=["about"], name="entry_about"
            ),
        ),
    ]
