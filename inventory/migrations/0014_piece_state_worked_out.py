"""The database works the state of a piece out of its parts."""

from django.db import migrations, models
from django.db.models import Case, F, Q, Value, When

STATES = [
    ("seasoning", "seasoning"),
    ("ready", "ready"),
    ("half", "half set"),
    ("downgraded", "downgraded"),
    ("rejected", "rejected"),
    ("drawn", "drawn"),
    ("used", "used"),
    ("returned", "sent back"),
    ("sold", "sold"),
    ("missing", "not found"),
    ("undone", "taken back"),
]


class Migration(migrations.Migration):
    dependencies = [("inventory", "0013_keep_parts_of_piece_state")]

    operations = [
        migrations.RemoveField("piece", "old_state"),
        migrations.AddField(
            "piece",
            "state",
            models.GeneratedField(
                choices=STATES,
                db_persist=True,
                expression=Case(
                    When(~Q(gone=""), then=F("gone")),
                    When(~Q(verdict=""), then=F("verdict")),
                    When(is_half=True, then=Value("half")),
                    When(is_ready=True, then=Value("ready")),
                    default=Value("seasoning"),
                ),
                output_field=models.CharField(choices=STATES, max_length=10),
            ),
        ),
    ]
