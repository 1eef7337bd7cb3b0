"""Who ordered which build."""

from collections.abc import Collection
from typing import Any

from django.db.models import F, QuerySet

from quotes.models import Quote
from shop.builds.queries.orders import BuildOrder
from shop.models import Build


def orders_of_builds(builds: Collection[Build]) -> dict[int, BuildOrder]:
    """Return the order of each of `builds` by the build's key, in one query for any number."""
    rows = Quote.objects.filter(build__in=builds).order_by()
    return {
        build: BuildOrder(quote=quote, commission=commission, client=client)
        for build, quote, commission, client in rows.values_list(
            "build", "pk", "commission", "commission__client"
        )
        if build is not None
    }


def clients_of_builds(builds: QuerySet[Build]) -> QuerySet[Build]:
    """Return `builds` with `client` (a name) and `client_pk`, both empty without an order."""
    return builds.annotate(
        client=F("quote__commission__client__name"), client_pk=F("quote__commission__client")
    )


def builds_ordered_by(
    *, quote: int | None = None, commission: int | None = None, client: int | None = None
) -> QuerySet[Any]:
    """Return the keys of builds of a quote, commission or client, for use within a query."""
    asked = {"pk": quote, "commission": commission, "commission__client": client}
    named = {name: key for name, key in asked.items() if key is not None}
    return Quote.objects.filter(**named).exclude(build=None).order_by().values("build")
