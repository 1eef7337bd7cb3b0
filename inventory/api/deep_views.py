"""Species, meters, counts, orders, recipes, what to buy and what a build contains."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import deep_asked, deep_serializers, happenings, serializers
from inventory.api.lot_actions import read
from inventory.models import Count, CountLine, Lot, Meter, Order, Recipe, Species
from inventory.queries.buying import what_to_buy
from inventory.queries.recipes import recipes, still_makeable
from inventory.queries.traces import contents_of
from inventory.rest.views import ActionView, EditViewSet, ReadViewSet
from inventory.services.close_count import close_count
from inventory.services.close_order import close_order
from inventory.services.draw_made_up import draw_made_up
from inventory.services.make_orders import make_orders
from inventory.services.make_up import make_up
from inventory.services.note_count import note_count
from inventory.services.send_order import send_order
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


class OrderViewSet(ReadViewSet):
    """Order sheets, the latest first."""

    queryset = Order.objects.prefetch_related("lines")
    serializer_class = deep_serializers.OrderSerializer
    filterset_fields = ["supplier"]

    @extend_schema(
        request=deep_asked.NewOrders,
        responses={201: deep_serializers.OrderSerializer(many=True)},
    )
    def create(self, request: Request) -> Response:
        """Put materials on the draft sheets of their suppliers."""
        asking = deep_asked.NewOrders(data=request.data)
        asking.is_valid(raise_exception=True)
        made = make_orders(lines=asking.to_lines(), on=asking.validated_data["on"])
        return Response(deep_serializers.OrderSerializer(made, many=True).data, status=201)

    @extend_schema(request=deep_asked.OnDay, responses={200: deep_serializers.OrderSerializer})
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Freeze the sheet as sent on a day."""
        data = read(deep_asked.OnDay(data=request.data))
        order = send_order(order=self.get_object(), **data)
        return Response(deep_serializers.OrderSerializer(order).data)

    @extend_schema(request=deep_asked.OnDay, responses={200: deep_serializers.OrderSerializer})
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Expect the rest no more."""
        data = read(deep_asked.OnDay(data=request.data))
        order = close_order(order=self.get_object(), **data)
        return Response(deep_serializers.OrderSerializer(order).data)


class RecipeViewSet(ReadViewSet):
    """What is made up here, and how many can still be made."""

    queryset = Recipe.objects.all()
    serializer_class = deep_serializers.RecipeSerializer

    def get_queryset(self) -> QuerySet[Recipe]:
        return recipes().order_by("material__name")

    def get_serializer(self, *args: Any, **kwargs: Any) -> Any:
        rows = args[0] if args else []
        for row in rows if isinstance(rows, list) else [rows]:
            if isinstance(row, Recipe):
                row.still_makeable = still_makeable(row).count  # type: ignore[attr-defined]
        return super().get_serializer(*args, **kwargs)

    @extend_schema(request=deep_asked.MakeUp, responses={201: serializers.LotSerializer})
    @action(detail=True, methods=["post"])
    def make(self, request: Request, pk: str) -> Response:
        """Make some up onto the shelf, or draw the parts straight for a holder."""
        data = read(deep_asked.MakeUp(data=request.data))
        asked = {"recipe": self.get_object(), "now": timezone.now(), "user": request.user, **data}
        if data["holder"]:
            entries = draw_made_up(**asked)
            return Response(happenings.EntrySerializer(entries, many=True).data, status=201)
        del asked["holder"]
        lot = Lot.objects.get(pk=make_up(**asked).pk)
        return Response(serializers.LotSerializer(lot).data, status=201)


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
