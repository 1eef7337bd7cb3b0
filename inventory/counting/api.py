"""Counts in the API: freezing a shelf, noting what lies there, booking the differences."""

from decimal import Decimal

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.fields import quantity_field
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ReadViewSet, Serializer
from inventory.base.queries import end_of_past_day
from inventory.counting.documents import count_sheet
from inventory.counting.queries import lines_of
from inventory.counting.services import close_count, record_count, reveal_count, start_count
from inventory.models import Count, CountLine, DifferenceReason, Place, Workshop
from inventory.shelf.api.entries import ENTRIES, LotNumber, entries_answer


@extend_schema_serializer(
    examples=[OpenApiExample("A blind count", value={"name": "year end 2027", "is_blind": True})]
)
class StartCount(serializers.Serializer):
    name = serializers.CharField(max_length=80)
    place = serializers.PrimaryKeyRelatedField(
        queryset=Place.objects.all(), required=False, allow_null=True, default=None
    )
    on = serializers.DateField(
        required=False,
        allow_null=True,
        default=None,
        help_text="Count against the stock recorded at the end of this day; default: now.",
    )
    is_blind = serializers.BooleanField(default=False)


@extend_schema_serializer(
    examples=[OpenApiExample("Three given away", value={"counted": "7", "reason": "given"})]
)
class NoteCount(serializers.Serializer):
    counted = quantity_field(min_value=Decimal(0), allow_null=True)
    reason = serializers.ChoiceField(
        choices=DifferenceReason.choices, required=False, allow_blank=True, default=""
    )
    note = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")


class CountLineSerializer(Serializer):
    lot: LotNumber = serializers.SlugRelatedField(slug_field="number", read_only=True)
    expected = serializers.SerializerMethodField(
        help_text="Recorded quantity at the freeze; null while a blind count is in progress."
    )
    reason = serializers.ChoiceField(
        choices=DifferenceReason.choices, allow_blank=True, read_only=True
    )

    class Meta:
        model = CountLine
        fields = ["id", "count", "material", "lot", "expected", "counted", "reason", "note"]
        read_only_fields = fields

    def get_expected(self, line: CountLine) -> str | None:
        return f"{line.expected:.3f}" if line.count.shows_books else None


class CountSerializer(Serializer):
    class Meta:
        model = Count
        fields = ["id", "name", "place", "is_blind", "frozen_at", "begun_at", "closed_at"]
        read_only_fields = fields


class CountViewSet(ReadViewSet):
    """Counts by shelf, the latest first."""

    queryset = Count.objects.all()
    serializer_class = CountSerializer

    @extend_schema(request=StartCount, responses={201: CountSerializer})
    def create(self, request: Request) -> Response:
        """Freeze a shelf and begin to count it."""
        data = validated_body(StartCount, request)
        on = data.pop("on")
        count = start_count(
            now=timezone.now(), frozen_at=end_of_past_day(on, today=timezone.localdate()), **data
        )
        return Response(CountSerializer(count).data, status=201)

    @extend_schema(request=None, responses=CountSerializer)
    @action(detail=True, methods=["post"])
    def reveal(self, request: Request, pk: str) -> Response:
        """Show the recorded quantities of a blind count."""
        return Response(CountSerializer(reveal_count(count=self.get_object())).data)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def sheet(self, request: Request, pk: str) -> Response:
        """Return the sheet to count with (PDF), or as it was found once it is closed."""
        row = get_object_or_404(Count.objects.select_related("place"), pk=pk)
        shop = Workshop.objects.first()
        printed = count_sheet(count=row, lines=list(lines_of(row)), workshop=shop)
        return Response(printed, content_type="application/pdf")

    @extend_schema(request=None, responses=ENTRIES)
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Book the differences, at the moment of the freeze."""
        entries = close_count(count=self.get_object(), now=timezone.now(), user=request.user)
        return entries_answer(entries)


class CountLineViewSet(ReadViewSet):
    """Lines of counts."""

    queryset = CountLine.objects.select_related("count", "lot", "material").order_by("pk")
    serializer_class = CountLineSerializer
    filterset_fields = ["count", "material"]

    @extend_schema(request=NoteCount, responses={200: CountLineSerializer})
    @action(detail=True, methods=["post"])
    def note(self, request: Request, pk: str) -> Response:
        """Note what lay there, with the reason for a difference."""
        data = validated_body(NoteCount, request)
        line = record_count(line=self.get_object(), **data)
        return Response(CountLineSerializer(line).data)
