"""Find the deliveries of prices that were paid: same material, day and supplier, in their order."""

from collections import defaultdict

from django.db import migrations


def find_deliveries(apps, schema_editor):
    note_rows = apps.get_model("inventory", "PriceNote").objects.filter(
        kind="paid", delivery_line=None
    )
    line_rows = apps.get_model("inventory", "DeliveryLine").objects.select_related("delivery")
    lines = defaultdict(list)
    for line in line_rows.order_by("pk").iterator():
        came = line.delivery
        lines[line.material_id, came.received_on, came.supplier_id].append(line)
    for note in note_rows.order_by("pk").iterator():
        found = lines[note.material_id, note.noted_on, note.supplier_id]
        if found:
            note.delivery_line = found.pop(0)
            note.save(update_fields=["delivery_line"])


class Migration(migrations.Migration):
    dependencies = [("inventory", "0029_delivery_of_a_price")]

    operations = [migrations.RunPython(find_deliveries, migrations.RunPython.noop)]
