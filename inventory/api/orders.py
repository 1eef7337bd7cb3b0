"""Order sheets and suppliers' credits in the API."""

from django.db.models import QuerySet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import deep_asked, deep_serializers
from inventory.documents.orders import printed_order
from inventory.models import Credit, Order
from inventory.queries.orders import due_credits
from inventory.rest.asking import asked_of
from inventory.rest.paper import PaperRenderer
from inventory.rest.views import ReadViewSet
from inventory.roles import BOOK_ROLES
from inventory.services.change_order import change_order
from inventory.services.close_order import close_order
from inventory.services.make_orders import make_orders
from inventory.services.send_order import send_order
from inventory.services.settle_credit import settle_credit

PDF = {(200, "application/pdf"): OpenApiTypes.BINARY}


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

    @extend_schema(
        request=deep_asked.ChangeOrder, responses={200: deep_serializers.OrderSerializer}
    )
    @action(detail=True, methods=["post"])
    def change(self, request: Request, pk: str) -> Response:
        """Set quantities and prices of lines of a draft; a quantity of 0 takes a line off."""
        data = asked_of(deep_asked.ChangeOrder, request)
        lines = {one["line"].pk: (one["quantity"], one["price"]) for one in data["lines"]}
        order = self.get_object()
        note = data.get("note", order.note)
        changed = change_order(order=order, lines=lines, note=note)
        return Response(deep_serializers.OrderSerializer(changed).data)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=[PaperRenderer, JSONRenderer])
    def sheet(self, request: Request, pk: str) -> Response:
        """Return the sheet (PDF) as it was sent, or as it stands."""
        return Response(printed_order(self.get_object()), content_type="application/pdf")

    @extend_schema(request=deep_asked.OnDay, responses={200: deep_serializers.OrderSerializer})
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Freeze the sheet as sent on a day."""
        data = asked_of(deep_asked.OnDay, request)
        order = send_order(order=self.get_object(), **data)
        return Response(deep_serializers.OrderSerializer(order).data)

    @extend_schema(request=deep_asked.OnDay, responses={200: deep_serializers.OrderSerializer})
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Expect the rest no more."""
        data = asked_of(deep_asked.OnDay, request)
        order = close_order(order=self.get_object(), **data)
        return Response(deep_serializers.OrderSerializer(order).data)


class CreditViewSet(ReadViewSet):
    """What suppliers owe for stock sent back, until it is settled."""

    queryset = Credit.objects.all()
    serializer_class = deep_serializers.CreditSerializer
    filterset_fields = {"supplier": ["exact"], "settled_on": ["exact", "isnull"]}
    write_roles = BOOK_ROLES

    def get_queryset(self) -> QuerySet[Credit]:
        return due_credits()

    @extend_schema(request=deep_asked.OnDay, responses={200: deep_serializers.CreditSerializer})
    @action(detail=True, methods=["post"])
    def settle(self, request: Request, pk: str) -> Response:
        """Note that the credit was paid, or taken off an invoice."""
        data = asked_of(deep_asked.OnDay, request)
        credit = settle_credit(credit=self.get_object(), **data)
        return Response(deep_serializers.CreditSerializer(credit).data)
