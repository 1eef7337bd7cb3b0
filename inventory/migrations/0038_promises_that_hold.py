"""Count as promised what promises hold: no piece that has gone or is no longer fit."""

from django.db import migrations
from django.db.models import Q, Sum


def count_what_holds(apps, schema_editor):
    lost = ~Q(lot__remaining__gt=0, lot__piece__state__in=("seasoning", "ready"))
    _take_off(apps, schema_editor, Q(lot__isnull=False) & lost, -1)


def count_all(apps, schema_editor):
    lost = ~Q(lot__remaining__gt=0, lot__piece__state__in=("seasoning", "ready"))
    _take_off(apps, schema_editor, Q(lot__isnull=False) & lost, 1)


def _take_off(apps, schema_editor, which, sign):
    using = schema_editor.connection.alias
    promises = apps.get_model("inventory", "Promise").objects.using(using)
    materials = apps.get_model("inventory", "Material").objects.using(using)
    rows = promises.filter(which, outstanding__gt=0).order_by().values("material")
    for row in rows.annotate(total=Sum("outstanding")):
        material = materials.get(pk=row["material"])
        material.promised += sign * row["total"]
        material.save(update_fields=["promised"])


class Migration(migrations.Migration):
    dependencies = [("inventory", "0037_entries_about_others")]

    operations = [migrations.RunPython(count_what_holds, count_all)]
