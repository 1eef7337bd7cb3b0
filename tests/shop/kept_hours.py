"""Hours that are kept of finished builds, and their time entries added up, which they must be."""

from shop.hours.queries.sums import seconds_by_stage
from shop.models import BuildHours, TimeShare


def kept_hours():
    return {
        pk: stages for pk, stages in BuildHours.objects.values_list("build", "stages") if stages
    }


def added_up():
    return seconds_by_stage(TimeShare.objects.filter(build__kept_hours__isnull=False))
