"""When a count began, which may be after the moment that the books were frozen at."""

from datetime import UTC, datetime
from typing import Any

from django.db import migrations, models
from django.db.models import F


def begin_where_frozen(apps: Any, schema_editor: Any) -> None:
    """Counts so far froze the books as they began."""
    counts = apps.get_model("inventory", "Count").objects.using(schema_editor.connection.alias)
    counts.update(begun_at=F("frozen_at"))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0023_price_notes_by_kind")]

    operations = [
        migrations.AddField(
            model_name="count",
            name="begun_at",
            field=models.DateTimeField(default=datetime(2000, 1, 1, tzinfo=UTC)),
            preserve_default=False,
        ),
        migrations.RunPython(begin_where_frozen, migrations.RunPython.noop),
    ]
