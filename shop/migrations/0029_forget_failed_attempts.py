"""Failed attempts forgotten: those at *New password* kept the new password as it was typed.

The locks that they counted for end too; the access log keeps its lines.
"""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def forget(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    apps.get_model("axes", "AccessAttempt").objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0028_what_clients_see_of_the_queue"),
        ("axes", "0010_accessattemptexpiration"),
    ]
    operations = [migrations.RunPython(forget, migrations.RunPython.noop)]
