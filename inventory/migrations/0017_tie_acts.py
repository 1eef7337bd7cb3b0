"""Tie together what was written at once before acts were kept."""

from itertools import groupby

from django.db import migrations

TOGETHER = ("cut", "made", "sent_back", "cost_moved")


def tie(apps, schema_editor):
    """Entries of an act carry the same instant of telling; the parts of a cut named it as well."""
    entries = apps.get_model("inventory", "StockEntry").objects.using(
        schema_editor.connection.alias
    )
    rows = entries.filter(reason__in=TOGETHER).order_by("recorded_at", "pk")
    for _, group in groupby(rows.iterator(), key=lambda entry: entry.recorded_at):
        first, *rest = (entry.pk for entry in group)
        entries.filter(pk__in=rest).update(act=first)
    entries.filter(reason="cut").update(about=None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0016_acts")]

    operations = [migrations.RunPython(tie, migrations.RunPython.noop)]
