"""Add up the hours of builds that are finished already."""

from collections import defaultdict

from django.db import migrations
from django.db.models import Sum

AT_ONCE = 500


def add_up(apps, schema_editor):
    Build, BuildHours, TimeShare = (
        apps.get_model("shop", name) for name in ("Build", "BuildHours", "TimeShare")
    )
    keys = list(
        Build.objects.filter(state__in=["finished", "closed"]).order_by("pk").values_list("pk", flat=True)
    )
    for first in range(0, len(keys), AT_ONCE):
        some = keys[first : first + AT_ONCE]
        sums = defaultdict(list)
        rows = (
            TimeShare.objects.filter(build__in=some, entry__is_remake=False)
            .order_by("build", "stage")
            .values_list("build", "stage", "stage__template_stage", "stage__name", "stage__is_set_aside")
            .annotate(total=Sum("seconds"))
        )
        for build, *stage in rows:
            sums[build].append(stage)
        BuildHours.objects.bulk_create(BuildHours(build_id=pk, stages=sums[pk]) for pk in some)


class Migration(migrations.Migration):
    dependencies = [("shop", "0021_kept_hours")]
    operations = [migrations.RunPython(add_up, migrations.RunPython.noop)]
