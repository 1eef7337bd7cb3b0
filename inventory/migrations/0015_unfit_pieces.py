"""Keep beside what is on hand how much of it nobody can be promised."""

from django.db import migrations
from django.db.models import Count

import inventory.fields


def count_them(apps, schema_editor):
    using = schema_editor.connection.alias
    pieces = apps.get_model("inventory", "Piece").objects.using(using)
    unfit = pieces.filter(lot__remaining__gt=0).exclude(state__in=("seasoning", "ready"))
    materials = apps.get_model("inventory", "Material").objects.using(using)
    for row in unfit.order_by().values("lot__material").annotate(count=Count("pk")):
        materials.filter(pk=row["lot__material"]).update(unfit=row["count"])


class Migration(migrations.Migration):
    dependencies = [("inventory", "0014_piece_state_worked_out")]

    operations = [
        migrations.AddField(
            "material", "unfit", inventory.fields.QuantityField(default=0, editable=False)
        ),
        migrations.RunPython(count_them, migrations.RunPython.noop),
    ]
