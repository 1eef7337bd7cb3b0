"""Give tokens that had none an end, and leave what is no phone the rights it had."""

from datetime import timedelta

from django.db import migrations
from django.db.models.functions import Now


def give_ends(apps, schema_editor):
    end = Now() + timedelta(days=90)
    apps.get_model("knox", "AuthToken").objects.filter(expiry=None).update(expiry=end)
    # A phone's page told its version when it greeted; a script never did.
    apps.get_model("shop", "Device").objects.filter(version="").update(rights="all")


def take_ends(apps, schema_editor):
    apps.get_model("knox", "AuthToken").objects.update(expiry=None)


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0025_access_log_and_rights_of_devices"),
        ("knox", "0009_extend_authtoken_field"),
    ]
    operations = [migrations.RunPython(give_ends, take_ends)]
