"""The list of builds: which are asked for, for whom each is, and what it may be sorted by."""

from dataclasses import dataclass
from datetime import date

from django.db.models import OuterRef, Q, QuerySet, Subquery, Sum

from shop.builds.queries.orders import with_clients
from shop.models import OPEN_STATES, Build, BuildStage, BuildState, TimeShare


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildsAsked:
    """Which builds: of a state, with a word in them, or promised before the day `late_on`."""

    state: str = ""
    word: str = ""
    late_on: date | None = None


def builds_asked_for(asked: BuildsAsked) -> QuerySet[Build]:
    """Return the builds asked for, each with `client` and `client_pk`, and sums to sort by.

    Without a state or a word only open ones; a word is looked for in every state.
    """
    rows = with_clients(Build.objects.select_related("template", "batch")).annotate(
        planned_hours=Subquery(_per_build(BuildStage.objects.all(), "hours_planned")),
        worked=Subquery(_per_build(TimeShare.objects.all(), "seconds")),
    )
    if asked.state in BuildState.values:
        rows = rows.filter(state=asked.state)
    elif not asked.word and asked.state != "all":
        rows = rows.filter(state__in=OPEN_STATES)
    if asked.late_on:
        rows = rows.filter(state__in=OPEN_STATES, promised_on__lt=asked.late_on)
    for word in asked.word.split():
        rows = rows.filter(
            Q(title__icontains=word) | Q(serial__icontains=word) | Q(client__icontains=word)
        )
    return rows


def _per_build(rows: QuerySet[BuildStage] | QuerySet[TimeShare], field: str) -> QuerySet[Build]:
    of_one = rows.filter(build=OuterRef("pk")).order_by().values("build")
    return of_one.annotate(sum=Sum(field)).values("sum")  # type: ignore[return-value]
