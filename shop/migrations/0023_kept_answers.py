"""Make the table of answers that took long to work out."""

from django.core.management import call_command
from django.db import migrations


def make_table(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


class Migration(migrations.Migration):
    dependencies = [("shop", "0022_hours_of_past_builds")]
    operations = [
        migrations.RunPython(
            make_table,
            lambda apps, schema_editor: schema_editor.execute("DROP TABLE shop_answers"),
        )
    ]
