"""Species, meters, counts, what to buy and what a build contains."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import deep_asked, deep_serializers, happenings
from inventory.api.lot_actions import read
from inventory.models import Count, CountLine, Meter, Species
from inventory.queries.buying import what_to_buy
from inventory.queries.traces import contents_of
from inventory.rest.views import ActionView, EditViewSet, ReadViewSet
from inventory.services.close_count import close_count
from inventory.services.note_count import note_count
from inventory.services.start_count import start_count

NO_DELETE = ["get", "post", "put", "patch", "head", "options"]
ENTRIES = {201: happenings.EntrySerializer(many=True)}


class SpeciesViewSet(EditViewSet):
    """Species: dated notes, to be checked with the authority."""

    queryset = Species.objects.all()
    serializer_class = deep_serializers.SpeciesSerializer
    search_fields = ["name", "botanical_name"]
    http_method_names = NO_DELETE


class MeterViewSet(EditViewSet):
    """Moisture meters."""

    queryset = Meter.objects.all()
    serializer_class = deep_serializers.MeterSerializer
    http_method_names = NO_DELETE


class CountViewSet(ReadViewSet):
    """Counts by shelf, the latest first."""

    queryset = Count.objects.all()
    serializer_class = deep_serializers.CountSerializer

    @extend_schema(request=deep_asked.StartCount, responses={201: deep_serializers.CountSerializer})
    def create(self, request: Request) -> Response:
        """Freeze a shelf and begin to count it."""
        data = read(deep_asked.StartCount(data=request.data))
        count = start_count(now=timezone.now(), **data)
        return Response(deep_serializers.CountSerializer(count).data, status=201)

    @extend_schema(request=None, responses=ENTRIES)
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Book the differences."""
        entries = close_count(count=self.get_object(), now=timezone.now(), user=request.user)
        return Response(happenings.EntrySerializer(entries, many=True).data, status=201)


class CountLineViewSet(ReadViewSet):
    """Lines of counts."""

    queryset = CountLine.objects.select_related("count", "lot", "material").order_by("pk")
    serializer_class = deep_serializers.CountLineSerializer
    filterset_fields = ["count", "material"]

    @extend_schema(
        request=deep_asked.NoteCount, responses={200: deep_serializers.CountLineSerializer}
    )
    @action(detail=True, methods=["post"])
    def note(self, request: Request, pk: str) -> Response:
        """Note what lay there, with the reason for a difference."""
        data = read(deep_asked.NoteCount(data=request.data))
        line = note_count(line=self.get_object(), **data)
        return Response(deep_serializers.CountLineSerializer(line).data)


class ToBuyView(ActionView):
    """What is short of plans and levels."""

    @extend_schema(responses=deep_serializers.BuySerializer(many=True))
    def get(self, request: Request) -> Response:
        return Response(deep_serializers.BuySerializer(what_to_buy(), many=True).data)


class ContentsView(ActionView):
    """What one holder's build is made of."""

    @extend_schema(responses=deep_serializers.ContainedSerializer(many=True))
    def get(self, request: Request, holder: str) -> Response:
        rows = contents_of(holder)
        if not rows:
            raise NotFound("Nothing was drawn under this key and kept.")
        return Response(deep_serializers.ContainedSerializer(rows, many=True).data)
