"""Set-up readings in the API."""

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.fields import DecimalField, PercentAsShareField
from inventory.base.api.views import ReadViewSet, Serializer
from shop.builds.services.setting_up import record_reading
from shop.models import Build, Measure, SetUpReading


class ReadingData(Serializer):
    """A reading in mm, or in cents for intonation."""

    measure_words = serializers.CharField(source="get_measure_display", read_only=True)
    humidity = PercentAsShareField(
        source="humidity_percent",
        max_digits=3,
        decimal_places=2,
        allow_null=True,
        help_text="Relative humidity.",
    )

    class Meta:
        model = SetUpReading
        fields = [
            "id",
            "build",
            "measure",
            "measure_words",
            "value",
            "gauge",
            "strings",
            "humidity",
            "note",
            "taken_at",
            "recorded_at",
            "taken_by",
        ]
        read_only_fields = fields


class ReadingAsked(serializers.Serializer):
    """What was measured, with what, and when."""

    build = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all())
    measure = serializers.ChoiceField(choices=Measure.choices)
    value = DecimalField(max_digits=9, decimal_places=4, help_text="In mm, or cents.")
    gauge = serializers.CharField(required=False, allow_blank=True, default="", max_length=60)
    strings = serializers.CharField(required=False, allow_blank=True, default="", max_length=80)
    humidity = PercentAsShareField(
        source="humidity_percent",
        max_digits=3,
        decimal_places=2,
        required=False,
        allow_null=True,
        help_text="Relative humidity.",
    )
    note = serializers.CharField(required=False, allow_blank=True, default="", max_length=300)
    taken_at = serializers.DateTimeField(
        required=False, allow_null=True, help_text="By the device's clock; default: now."
    )


@extend_schema(tags=["builds"])
class ReadingViewSet(ChangesMixin, ReadViewSet):
    """Set-up readings, the oldest first: before and after stand side by side."""

    queryset = SetUpReading.objects.order_by("taken_at", "pk")
    serializer_class = ReadingData
    filterset_fields = ["build", "measure"]

    @extend_schema(
        parameters=[DEVICE_TIME],
        request=ReadingAsked,
        responses={201: ReadingData},
        examples=[
            OpenApiExample(
                "relief with a feeler gauge",
                value={"build": 1, "measure": "relief", "value": "0.12", "gauge": "feelers"},
                request_only=True,
            )
        ],
    )
    def create(self, request: Request) -> Response:
        """Add a reading."""
        asked = validated_body(ReadingAsked, request)
        taken = moment_of(request, asked.pop("taken_at", None))
        reading = record_reading(now=timezone.now(), taken_at=taken.at, user=request.user, **asked)
        return Response(ReadingData(reading).data, status=201)
