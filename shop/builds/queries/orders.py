"""Whose order a build is, asked of an app that this one doesn't know."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any, cast

from django.conf import settings
from django.db.models import QuerySet
from django.utils.module_loading import import_string

from shop.models import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildOrder:
    """The keys of the quote, commission and client that a build is made for."""

    quote: int
    commission: int
    client: int


def orders_of(builds: Collection[Build]) -> dict[int, BuildOrder]:
    """Return the order of each of `builds` by the build's key; nothing for one without an order.

    Orders are kept by an app that this one doesn't know: the settings name where to ask.
    """
    return cast(dict[int, BuildOrder], import_string(settings.ORDERS_OF_BUILDS)(builds))


def ordered_by(**keys: int) -> QuerySet[Any]:
    """Return the keys of builds of a `quote`, `commission` or `client`, for use within a query."""
    return cast(QuerySet[Any], import_string(settings.BUILDS_ORDERED_BY)(**keys))


def with_clients(builds: QuerySet[Build]) -> QuerySet[Build]:
    """Return `builds`, each with the name of its client as `client` and the key as `client_pk`."""
    return cast(QuerySet[Build], import_string(settings.CLIENTS_OF_BUILDS)(builds))
