"""Make the table of how lists stood when a phone last asked what changed in them."""

from django.core.management import call_command
from django.db import migrations


def make_table(apps, schema_editor):
    call_command(
        "createcachetable", "shop_lists", database=schema_editor.connection.alias, verbosity=0
    )


class Migration(migrations.Migration):
    dependencies = [("shop", "0029_forget_failed_attempts")]
    operations = [
        migrations.RunPython(
            make_table,
            lambda apps, schema_editor: schema_editor.execute("DROP TABLE shop_lists"),
        )
    ]
