from collections import defaultdict

from django.db import migrations


def add_up(apps, schema_editor):
    """Say of every invoice what its payments and credit notes have not settled."""
    invoices = apps.get_model("quotes", "Invoice").objects
    settled = defaultdict(int)
    paid = apps.get_model("quotes", "Payment").objects.filter(invoice__isnull=False)
    for invoice, amount in paid.values_list("invoice", "amount").iterator():
        settled[invoice] += amount
    for invoice, gross in invoices.filter(credits__isnull=False).values_list("credits", "gross"):
        settled[invoice] -= gross
    for row in invoices.filter(credits=None).defer("frozen").iterator(chunk_size=500):
        left = row.gross - settled[row.pk]
        if left:
            invoices.filter(pk=row.pk).update(unsettled=left)


class Migration(migrations.Migration):
    dependencies = [("quotes", "0032_what_is_unsettled")]

    operations = [migrations.RunPython(add_up, migrations.RunPython.noop, elidable=False)]
