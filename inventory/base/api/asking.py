"""Reading what a request asks for."""

from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet
from django_filters.rest_framework import DjangoFilterBackend
from rest_framework import serializers
from rest_framework.filters import OrderingFilter
from rest_framework.request import Request

ALWAYS = ("page", "page_size", "cursor", "format")


def validated_body(
    kind: type[serializers.Serializer], request: Request, **context: Any
) -> dict[str, Any]:
    """Return the body of `request` checked by `kind`, which may need `context`.

    Raises ValidationError for what is wrong.
    """
    asked = kind(data=request.data, context=context)
    asked.is_valid(raise_exception=True)
    return dict(asked.validated_data)


def check_query(view: Any, queryset: QuerySet) -> None:
    """Raise ValidationError for a filter or an order that the list of `view` doesn't have."""
    orders = [name for name, _ in OrderingFilter().get_valid_fields(queryset, view)]
    own = {*_filters_of(view, queryset)}
    own |= {"search"} if getattr(view, "search_fields", None) else set()
    own |= {"ordering"} if getattr(view, "ordering_fields", None) else set()
    own |= getattr(view, "also_asked", frozenset())
    query = view.request.query_params
    wrong = {
        name: f"There is no such filter. {_one_of(own)}" for name in {*query} - own - {*ALWAYS}
    }
    for name in filter(None, query.get("ordering", "").split(",")):
        if "ordering" in own and name.strip().removeprefix("-") not in orders:
            wrong["ordering"] = f"There is no order by “{name.strip()}”. {_one_of(orders)}"
    if wrong:
        raise serializers.ValidationError(wrong)


def _filters_of(view: Any, queryset: QuerySet) -> Iterator[str]:
    """Yield the names of the filters; a range of days has two, its first day and its last."""
    found = DjangoFilterBackend().get_filterset_class(view, queryset)
    for name, one in found.base_filters.items() if found else ():
        suffixes = getattr(one.field.widget, "suffixes", [""])
        yield from (f"{name}_{suffix}" if suffix else name for suffix in suffixes)


def _one_of(names: Any) -> str:
    return f"Use one of: {', '.join(sorted(names))}." if names else "This list has none."
