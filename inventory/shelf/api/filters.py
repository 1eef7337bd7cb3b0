"""What lists of stock can be narrowed down by."""

from typing import Any

import django_filters
from django.db.models import QuerySet

from inventory.models import (
    Lot,
    Material,
    MoistureReading,
    Photo,
    Piece,
    PieceState,
    Promise,
    StockEntry,
    Weighing,
)
from inventory.shelf.queries.stock import is_short, waiting_entries


class Filters(django_filters.FilterSet):  # type: ignore[misc]  # it ships no types
    """Base of the filters below."""


class MaterialFilter(Filters):
    short = django_filters.BooleanFilter(
        method="only_short", label="More reserved than on hand, or below the reorder level."
    )
    to_reconcile = django_filters.BooleanFilter(
        method="only_waiting", label="Drawn beyond the recorded stock and not counted since."
    )

    class Meta:
        model = Material
        fields = ["family", "supplier", "kept_as", "is_archived"]

    def only_short(self, rows: QuerySet, name: str, value: Any) -> QuerySet:
        return rows.filter(is_short()) if value else rows.exclude(is_short())

    def only_waiting(self, rows: QuerySet, name: str, value: Any) -> QuerySet:
        waiting = waiting_entries().values("material")
        return rows.filter(pk__in=waiting) if value else rows.exclude(pk__in=waiting)


class LotFilter(Filters):
    on_shelf = django_filters.BooleanFilter(method="only_on_shelf")
    is_piece = django_filters.BooleanFilter(
        field_name="piece", lookup_expr="isnull", exclude=True, label="Kept piece by piece."
    )
    expires_before = django_filters.DateFilter(field_name="expires_on", lookup_expr="lt")

    class Meta:
        model = Lot
        fields = ["material", "place", "supplier"]

    def only_on_shelf(self, rows: QuerySet, name: str, value: Any) -> QuerySet:
        return rows.filter(remaining__gt=0) if value else rows.filter(remaining__lte=0)


class PieceFilter(Filters):
    material = django_filters.ModelChoiceFilter(
        field_name="lot__material", queryset=Material.objects.all()
    )
    state = django_filters.ChoiceFilter(choices=PieceState.choices)

    class Meta:
        model = Piece
        fields = ["material", "state"]


class WeighingFilter(Filters):
    lot = django_filters.CharFilter(field_name="lot__number")

    class Meta:
        model = Weighing
        fields = ["lot", "is_crossed_out"]


class MoistureReadingFilter(Filters):
    lot = django_filters.CharFilter(field_name="lot__number")

    class Meta:
        model = MoistureReading
        fields = ["lot", "meter", "is_crossed_out"]


class PhotoFilter(Filters):
    lot = django_filters.CharFilter(field_name="lot__number")

    class Meta:
        model = Photo
        fields = ["lot"]


class EntryFilter(Filters):
    lot = django_filters.CharFilter(field_name="lot__number")
    happened_from = django_filters.IsoDateTimeFilter(field_name="happened_at", lookup_expr="gte")
    happened_before = django_filters.IsoDateTimeFilter(field_name="happened_at", lookup_expr="lt")
    waiting = django_filters.BooleanFilter(method="only_waiting")

    class Meta:
        model = StockEntry
        fields = ["material", "holder", "reason"]

    def only_waiting(self, rows: QuerySet, name: str, value: Any) -> QuerySet:
        if value:
            return rows.filter(to_reconcile=True, reconciled_at=None)
        return rows.exclude(to_reconcile=True, reconciled_at=None)


class PromiseFilter(Filters):
    open = django_filters.BooleanFilter(method="only_open")

    class Meta:
        model = Promise
        fields = ["material", "holder"]

    def only_open(self, rows: QuerySet, name: str, value: Any) -> QuerySet:
        return rows.filter(outstanding__gt=0) if value else rows.filter(outstanding=0)
