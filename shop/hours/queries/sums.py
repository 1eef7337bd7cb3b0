"""Seconds of builds by stage, as `BuildHours` keeps them."""

from collections import defaultdict
from typing import Any

from django.db.models import QuerySet, Sum

from shop.models import TimeShare


def seconds_by_stage(shares: QuerySet[TimeShare]) -> dict[int, list[list[Any]]]:
    """Return build → its stages as `BuildHours.stages` lists them, in one query.

    Seconds of making again are left out: what fails is the contingency's, not the stage's.
    """
    rows = (
        shares.filter(entry__is_remake=False)
        .order_by("build", "stage")
        .values_list(
            "build", "stage", "stage__template_stage", "stage__name", "stage__is_set_aside"
        )
        .annotate(total=Sum("seconds"))
    )
    found: dict[int, list[list[Any]]] = defaultdict(list)
    for build, *stage in rows:
        found[build].append(stage)
    return dict(found)
