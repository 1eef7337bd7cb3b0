"""Days lost on builds, in the API."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.views import ReadViewSet, Serializer
from shop.builds.services.edit import record_lost_days, remove_lost_days
from shop.models import Build, LostDays


class LostDaysData(Serializer):
    """Days on which a build could not go on, and why."""

    class Meta:
        model = LostDays
        fields = ["id", "build", "days", "reason", "note", "noted_on"]


@example("late tuners", build=3, days=12, reason="waiting for parts", note="machine heads")
class LostDaysAsked(serializers.Serializer):
    """How many days of which build, and to what; any words will do."""

    build = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all())
    days = serializers.IntegerField(min_value=1, max_value=999)
    reason = serializers.CharField(max_length=60)
    note = serializers.CharField(required=False, allow_blank=True, max_length=200)


@extend_schema(tags=["builds"])
class LostDaysViewSet(ReadViewSet):
    """Days lost, as they were noted."""

    queryset = LostDays.objects.order_by("-pk")
    serializer_class = LostDaysData
    filterset_fields = ["build", "reason"]
    search_fields = ["reason", "note"]
    ordering_fields = ["noted_on", "days"]

    @extend_schema(request=LostDaysAsked, responses={201: LostDaysData})
    def create(self, request: Request) -> Response:
        """Note days that a build lost."""
        lost = record_lost_days(on=timezone.localdate(), **validated_body(LostDaysAsked, request))
        return Response(LostDaysData(lost).data, status=201)

    @extend_schema(request=None, responses={204: None})
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: int) -> Response:
        """Delete an entry made by mistake."""
        remove_lost_days(lost=self.get_object())
        return Response(status=204)
