"""Species and moisture meters in the API."""

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from inventory.models import Meter, MoistureReading, Species
from inventory.rest.views import NO_DELETE, EditViewSet, Serializer


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A species of one's own",
            value={"name": "Pear", "shrinkage_radial": "3.9", "shrinkage_tangential": "11.3"},
            request_only=True,
        )
    ]
)
class SpeciesSerializer(Serializer):
    class Meta:
        model = Species
        fields = [
            "id",
            "name",
            "botanical_name",
            "density",
            "shrinkage_radial",
            "shrinkage_tangential",
            "dust",
            "listing",
            "listing_read_on",
            "source",
            "is_verified",
        ]


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A pin meter",
            value={"name": "pin meter", "slope": "0.9", "offset": "0.5", "per_degree": "0.1"},
            request_only=True,
        )
    ]
)
class MeterSerializer(Serializer):
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


class MoistureReadingSerializer(Serializer):
    class Meta:
        model = MoistureReading
        fields = ["id", "read_on", "meter", "raw", "celsius", "corrected"]


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
