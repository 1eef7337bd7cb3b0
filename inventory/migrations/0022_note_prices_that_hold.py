"""Give the history the prices that hold: those known with their day before it took them all in."""

from django.db import migrations
from django.db.models import Exists, OuterRef


def note(apps, schema_editor):
    using = schema_editor.connection.alias
    notes = apps.get_model("inventory", "PriceNote").objects.using(using)
    materials = apps.get_model("inventory", "Material").objects.using(using)
    notes.filter(is_paid=True).update(kind="paid")
    asked = notes.filter(material=OuterRef("pk"), kind="replacement")
    checked = materials.filter(~Exists(asked), replacement_checked_on__isnull=False)
    for row in checked.exclude(replacement_price=None).iterator():
        notes.create(
            material=row, noted_on=row.replacement_checked_on, price=row.replacement_price
        )
    for row in materials.exclude(realisable_price=None).exclude(replacement_checked_on=None):
        notes.create(
            material=row,
            noted_on=row.replacement_checked_on,
            price=row.realisable_price,
            kind="realisable",
        )


def forget(apps, schema_editor):
    notes = apps.get_model("inventory", "PriceNote").objects.using(schema_editor.connection.alias)
    notes.filter(kind="realisable").delete()
    notes.filter(price=None).delete()
    notes.filter(kind="paid").update(is_paid=True)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0021_price_kinds")]

    operations = [migrations.RunPython(note, forget)]
