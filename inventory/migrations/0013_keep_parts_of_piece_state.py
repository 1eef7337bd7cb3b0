"""Read the parts of a piece's state out of the word that was kept."""

from django.db import migrations
from django.db.models import F

OLD_GONE = ("drawn", "used", "rejected", "returned", "sold")


def keep_the_parts(apps, schema_editor):
    Piece = apps.get_model("inventory", "Piece")
    pieces = Piece.objects.using(schema_editor.connection.alias)
    pieces.exclude(old_state="seasoning").update(is_ready=True)
    pieces.filter(old_state="downgraded").update(verdict="downgraded")
    pieces.filter(old_state__in=OLD_GONE).update(gone=F("old_state"))
    empty = pieces.filter(lot__remaining__lte=0).exclude(old_state__in=OLD_GONE)
    empty.update(gone="missing")


def keep_the_word(apps, schema_editor):
    Piece = apps.get_model("inventory", "Piece")
    pieces = Piece.objects.using(schema_editor.connection.alias)
    pieces.filter(is_ready=True).update(old_state="ready")
    pieces.filter(verdict="downgraded").update(old_state="downgraded")
    pieces.filter(gone__in=OLD_GONE).update(old_state=F("gone"))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0012_piece_state_in_parts")]

    operations = [migrations.RunPython(keep_the_parts, keep_the_word)]
