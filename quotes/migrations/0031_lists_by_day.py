from django.db import migrations, models


class Migration(migrations.Migration):
    """Lists are read in the order of their day, and versions of a quote by their number."""

    dependencies = [("quotes", "0030_plain_words")]

    operations = [
        migrations.AddIndex(
            model_name="quote",
            index=models.Index(fields=["-drafted_on", "-id"], name="quotes_by_day"),
        ),
        migrations.AddIndex(
            model_name="quote",
            index=models.Index(fields=["number"], name="quotes_by_number"),
        ),
        migrations.AddIndex(
            model_name="invoice",
            index=models.Index(fields=["-issued_on", "-id"], name="invoices_by_day"),
        ),
        migrations.AddIndex(
            model_name="payment",
            index=models.Index(fields=["-received_on", "-id"], name="payments_by_day"),
        ),
    ]
