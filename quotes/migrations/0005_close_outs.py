import django.db.models.deletion
from django.db import migrations, models

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0004_line_markup"),
        ("shop", "0001_first_rows"),
    ]

    operations = [
        migrations.CreateModel(
            name="CloseOut",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("closed_on", models.DateField()),
                ("figures", models.JSONField(editable=False)),
                ("charge_next_time", inventory.fields.MoneyField(blank=True, null=True)),
                ("note_to_self", models.CharField(blank=True, max_length=300)),
                (
                    "build",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="close_out",
                        to="shop.build",
                    ),
                ),
            ],
            options={
                "ordering": ["-closed_on", "-pk"],
            },
        ),
    ]
