"""Base classes of the API's views and serializers."""

from collections.abc import Callable
from decimal import Decimal
from operator import attrgetter
from typing import Any

from django.db import models
from django.db.models import QuerySet
from django.utils.functional import cached_property
from rest_framework import serializers, viewsets
from rest_framework.fields import Field, SkipField
from rest_framework.views import APIView

from inventory.base.api.asking import check_query
from inventory.base.api.etags import VersionedMixin
from inventory.base.api.fields import MOST_MARKUP, DecimalField, ShareField
from inventory.base.api.idempotency import IdempotentMixin
from inventory.fields import MoneyField, QuantityField

SHARES = {
    *("waste_rate", "saving_two", "saving_four", "first_more", "common_share"),
    *("build_share", "lost_share"),
}
"""Columns that are shares, though they have other places than most."""
MOST_SHARES = {"markup": MOST_MARKUP, "waste_rate": Decimal("0.95")}
NO_DELETE = ["get", "post", "put", "patch", "head", "options"]
NO_CREATE = ["get", "put", "patch", "post", "head", "options"]


class Serializer(serializers.ModelSerializer):
    # No docstring: it would stand in the description of every row that has none of its own.
    # Money and quantities are exact, sent as decimal strings.
    serializer_field_mapping = serializers.ModelSerializer.serializer_field_mapping | {
        models.DecimalField: DecimalField,
        MoneyField: DecimalField,
        QuantityField: DecimalField,
    }

    def build_standard_field(self, field_name: str, model_field: Any) -> tuple[Any, Any]:
        """Return the field of a column; one of four places below 1, or named so, is a share."""
        kind, options = super().build_standard_field(field_name, model_field)
        shape = (options.get("max_digits"), options.get("decimal_places"))
        if kind is DecimalField and (shape == (5, 4) or field_name in SHARES):
            most = next((MOST_SHARES[end] for end in MOST_SHARES if field_name.endswith(end)), 1)
            return ShareField, {"max_value": Decimal(most)} | options
        return kind, options

    def to_representation(self, instance: Any) -> dict[str, Any]:
        """Return a row as its fields show it, asking once for all rows where each value stands."""
        row = {}
        for name, read, show in self._columns:
            try:
                value = read(instance)
            except SkipField:
                continue
            row[name] = None if value is None else show(value)
        return row

    @cached_property
    def _columns(self) -> list[tuple[str, Callable[[Any], Any], Callable[[Any], Any]]]:
        return [
            (name, self._reader(field), field.to_representation)
            for name, field in self.fields.items()
            if not field.write_only
        ]

    def _reader(self, field: Field) -> Callable[[Any], Any]:
        """Return what finds a field's value in a row: its own way, or where it is a plain one."""
        is_plain = type(field).get_attribute is Field.get_attribute
        source = field.source or ""
        is_column = "." not in source and source != "*"
        is_method = callable(getattr(self.Meta.model, source, None))
        if is_plain and is_column and not is_method:
            return attrgetter(source)
        return field.get_attribute


class ActionView(IdempotentMixin, APIView):
    """Base of an end point that does one thing."""


class FilteredMixin:
    """Filters lists only, and refuses what a list has no filter for."""

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        if self.action != "list":  # type: ignore[attr-defined]
            return queryset
        check_query(self, queryset)
        filtered: QuerySet = super().filter_queryset(queryset)  # type: ignore[misc]
        return filtered


class ReadViewSet(IdempotentMixin, FilteredMixin, viewsets.ReadOnlyModelViewSet):
    """List and retrieve; further POST actions may be added with `@action`."""


class EditViewSet(IdempotentMixin, VersionedMixin, FilteredMixin, viewsets.ModelViewSet):
    """List, retrieve, create, change and delete, with versions."""
