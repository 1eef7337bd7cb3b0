"""Species, moisture meters and how far wood has settled, in the API."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField, PercentAsShareField, moisture_field
from inventory.base.api.views import NO_DELETE, ActionView, EditViewSet, ReadViewSet, Serializer
from inventory.models import Meter, MeterSpecies, MoistureReading, Piece, Species, Weighing
from inventory.shelf.api.entries import LotNumber
from inventory.shelf.api.filters import MoistureReadingFilter, WeighingFilter
from inventory.wood.queries import seasoning_of, seasoning_pieces
from inventory.wood.services import void_reading, void_weighing


def _shrinkage() -> PercentAsShareField:
    return PercentAsShareField(
        max_value=Decimal("0.4"),
        required=False,
        allow_null=True,
        help_text="Of the green size, green to ovendry.",
    )


def _points(**given: Any) -> PercentAsShareField:
    """Return a field for moisture that is added to a reading, or taken from it."""
    return PercentAsShareField(min_value=Decimal(-1), required=False, **given)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A species of one's own",
            value={"name": "Pear", "shrinkage_radial": "0.039", "shrinkage_tangential": "0.113"},
            request_only=True,
        )
    ]
)
class SpeciesSerializer(Serializer):
    shrinkage_radial = _shrinkage()
    shrinkage_tangential = _shrinkage()
    fibre_saturation = PercentAsShareField(
        min_value=Decimal("0.15"),
        max_value=Decimal("0.4"),
        required=False,
        help_text="Moisture above which wood does not move: 0.30 for most species.",
    )

    class Meta:
        model = Species
        fields = [
            "id",
            "name",
            "botanical_name",
            "density",
            "shrinkage_radial",
            "shrinkage_tangential",
            "fibre_saturation",
            "dust",
            "listing",
            "listed_since",
            "listing_read_on",
            "source",
            "is_verified",
        ]


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A pin meter",
            value={"name": "pin meter", "slope": "0.9", "offset": "0.005", "per_degree": "0.001"},
            request_only=True,
        )
    ]
)
class MeterSerializer(Serializer):
    offset = _points(help_text="Moisture to add, from the same sheet.")
    per_degree = _points(help_text="Moisture that it reads high per 1 °C.")

    class Meta:
        model = Meter
        fields = [
            "id",
            "name",
            "slope",
            "offset",
            "per_degree",
            "calibrated_at",
            "tested_on",
            "note",
        ]


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Walnut on the pin meter",
            value={"meter": 1, "species": 1, "slope": "0.95", "offset": "0.004"},
            request_only=True,
        )
    ]
)
class MeterSpeciesSerializer(Serializer):
    offset = _points(help_text="Moisture to add.")

    class Meta:
        model = MeterSpecies
        fields = ["id", "meter", "species", "slope", "offset"]


class WeighingSerializer(Serializer):
    lot: LotNumber = serializers.SlugRelatedField(slug_field="number", read_only=True)

    class Meta:
        model = Weighing
        fields = ["id", "lot", "weighed_on", "grams", "is_crossed_out"]
        read_only_fields = fields


class MoistureReadingSerializer(Serializer):
    lot: LotNumber = serializers.SlugRelatedField(slug_field="number", read_only=True)
    raw = moisture_field(help_text="As the meter said it.")
    corrected = moisture_field(read_only=True, help_text="By species and temperature.")

    class Meta:
        model = MoistureReading
        fields = [
            "id",
            "lot",
            "read_on",
            "meter",
            "raw",
            "celsius",
            "is_by_oven",
            "corrected",
            "is_crossed_out",
        ]
        read_only_fields = ["is_crossed_out"]


class SpeciesViewSet(EditViewSet):
    """Species: dated notes, to be checked with the authority."""

    queryset = Species.objects.all()
    serializer_class = SpeciesSerializer
    search_fields = ["name", "botanical_name"]
    http_method_names = NO_DELETE


class MeterViewSet(EditViewSet):
    """Moisture meters."""

    queryset = Meter.objects.all()
    serializer_class = MeterSerializer
    http_method_names = NO_DELETE


class MeterSpeciesViewSet(EditViewSet):
    """What the sheet of a meter says of one species, in place of the meter's own figures."""

    queryset = MeterSpecies.objects.order_by("pk")
    serializer_class = MeterSpeciesSerializer
    filterset_fields = ["meter", "species"]


class WeighingViewSet(ReadViewSet):
    """Masses of pieces over time; void weighings are listed but do not count."""

    queryset = Weighing.objects.select_related("lot").order_by("pk")
    serializer_class = WeighingSerializer
    filterset_class = WeighingFilter

    @extend_schema(request=None, responses=WeighingSerializer)
    @action(detail=True, methods=["post"], url_path="cross-out")
    def cross_out(self, request: Request, pk: str) -> Response:
        """Void a weighing that was recorded by mistake."""
        row = void_weighing(weighing=self.get_object())
        return Response(WeighingSerializer(row).data)


class MoistureReadingViewSet(ReadViewSet):
    """Moisture of pieces over time, raw and corrected."""

    queryset = MoistureReading.objects.select_related("lot").order_by("pk")
    serializer_class = MoistureReadingSerializer
    filterset_class = MoistureReadingFilter

    @extend_schema(request=None, responses=MoistureReadingSerializer)
    @action(detail=True, methods=["post"], url_path="cross-out")
    def cross_out(self, request: Request, pk: str) -> Response:
        """Void a reading that was recorded by mistake."""
        row = void_reading(reading=self.get_object())
        return Response(MoistureReadingSerializer(row).data)


class SettlingData(serializers.Serializer):
    """A piece that still settles, and when it was last weighed."""

    number = serializers.CharField()
    material = serializers.IntegerField(source="material_id")
    material_name = serializers.CharField(source="material.name")
    place = serializers.CharField(source="place.name", default=None, allow_null=True)
    received_on = serializers.DateField()
    last_weighed = serializers.DateField(allow_null=True)


class SeasoningListView(ActionView):
    """Wood that still settles."""

    @extend_schema(responses=SettlingData(many=True))
    def get(self, request: Request) -> Response:
        """List every piece on the shelf that still settles, the oldest first."""
        return Response(SettlingData(seasoning_pieces(), many=True).data)


class ReadyForecastData(serializers.Serializer):
    """The day on which it is likely to be ready, within bounds; null where none can be told."""

    words = serializers.CharField()
    on = serializers.DateField(allow_null=True)
    earliest = serializers.DateField(allow_null=True)
    latest = serializers.DateField(allow_null=True)
    chance = serializers.FloatField(
        allow_null=True,
        help_text="That the day lies from earliest to latest, 0 to 1.",
    )
    final_grams = DecimalField(
        max_digits=15,
        decimal_places=3,
        allow_null=True,
        help_text="The mass in g that the piece tends to.",
    )


class SeasoningData(serializers.Serializer):
    """How far a piece has settled, and when it is likely to be ready."""

    ready = serializers.BooleanField(source="verdict.ready")
    reason = serializers.CharField(source="verdict.reason")
    chance = serializers.FloatField(
        source="verdict.chance",
        allow_null=True,
        help_text="Of being near to rest, 0 to 1; null while its pace forbids it.",
    )
    resting_moisture = moisture_field(help_text="At which it rests in the shop's air.")
    forecast = ReadyForecastData()


class SeasoningView(ActionView):
    """How far a piece has settled."""

    @extend_schema(responses=SeasoningData)
    def get(self, request: Request, number: str) -> Response:
        """Return whether the piece is ready by its weighings, and when it is likely to be."""
        piece = get_object_or_404(Piece.objects.select_related("lot__material"), lot__number=number)
        return Response(SeasoningData(seasoning_of(piece)).data)
