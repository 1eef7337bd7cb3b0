"""Order sheets and suppliers' credits in the API."""

from decimal import Decimal

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.fields import LEAST, DecimalField, quantity_field
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ReadViewSet, Serializer
from inventory.base.roles import BOOK_ROLES
from inventory.models import Credit, Material, Order, OrderLine
from inventory.purchasing.documents import printed_order
from inventory.purchasing.queries.orders import due_credits
from inventory.purchasing.services.deliveries import settle_credit
from inventory.purchasing.services.orders import (
    ToOrder,
    close_order,
    edit_order,
    make_orders,
    send_order,
)


class OrderedLine(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.select_related("supplier")
    )
    quantity = quantity_field(min_value=LEAST)
    price = DecimalField(
        max_digits=14,
        decimal_places=4,
        min_value=Decimal(0),
        required=False,
        allow_null=True,
        default=None,
        help_text="Per unit as shown, in the supplier's currency.",
    )


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Ten nuts",
            value={
                "on": "2027-03-09",
                "lines": [{"material": 4, "quantity": "10", "price": "4.00"}],
            },
        )
    ]
)
class NewOrders(serializers.Serializer):
    on = serializers.DateField()
    lines = OrderedLine(many=True, allow_empty=False)

    def to_lines(self) -> list[ToOrder]:
        """Return what the service takes."""
        return [ToOrder(**line) for line in self.validated_data["lines"]]


class ChangedLine(serializers.Serializer):
    line = serializers.PrimaryKeyRelatedField(queryset=OrderLine.objects.all())
    quantity = quantity_field(min_value=Decimal(0), help_text="0 removes the line.")
    price = DecimalField(
        max_digits=14,
        decimal_places=4,
        min_value=Decimal(0),
        help_text="Per unit as shown, in the supplier's currency.",
    )


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Twelve nuts instead",
            value={
                "lines": [{"line": 9, "quantity": "12", "price": "3.90"}],
                "note": "Blond, please.",
            },
        )
    ]
)
class ChangeOrder(serializers.Serializer):
    lines = ChangedLine(many=True)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True)


@extend_schema_serializer(examples=[OpenApiExample("A day", value={"on": "2027-03-09"})])
class OnDay(serializers.Serializer):
    on = serializers.DateField()


class OrderLineSerializer(Serializer):
    class Meta:
        model = OrderLine
        fields = ["id", "material", "words", "quantity", "price", "received"]


class OrderSerializer(Serializer):
    lines = OrderLineSerializer(many=True, read_only=True)

    class Meta:
        model = Order
        fields = [
            "id",
            "number",
            "supplier",
            "made_on",
            "sent_on",
            "closed_on",
            "currency",
            "note",
            "lines",
        ]


class CreditSerializer(Serializer):
    """What a supplier owes for one entry of stock sent back, in workshop currency."""

    class Meta:
        model = Credit
        fields = ["id", "supplier", "entry", "amount", "given_on", "settled_on", "note"]


class OrderViewSet(ReadViewSet):
    """Order sheets, the latest first."""

    queryset = Order.objects.prefetch_related("lines")
    serializer_class = OrderSerializer
    filterset_fields = ["supplier"]

    @extend_schema(
        request=NewOrders,
        responses={201: OrderSerializer(many=True)},
    )
    def create(self, request: Request) -> Response:
        """Put materials on the draft sheets of their suppliers."""
        asking = NewOrders(data=request.data)
        asking.is_valid(raise_exception=True)
        made = make_orders(lines=asking.to_lines(), on=asking.validated_data["on"])
        return Response(OrderSerializer(made, many=True).data, status=201)

    @extend_schema(request=ChangeOrder, responses={200: OrderSerializer})
    @action(detail=True, methods=["post"])
    def change(self, request: Request, pk: str) -> Response:
        """Set quantities and prices of lines of a draft; a quantity of 0 takes a line off."""
        data = validated_body(ChangeOrder, request)
        lines = {one["line"].pk: (one["quantity"], one["price"]) for one in data["lines"]}
        order = self.get_object()
        note = data.get("note", order.note)
        changed = edit_order(order=order, lines=lines, note=note)
        return Response(OrderSerializer(changed).data)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def sheet(self, request: Request, pk: str) -> Response:
        """Return the sheet (PDF) as it was sent, or as it stands."""
        return Response(printed_order(self.get_object()), content_type="application/pdf")

    @extend_schema(request=OnDay, responses={200: OrderSerializer})
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Freeze the sheet as sent on a day."""
        data = validated_body(OnDay, request)
        order = send_order(order=self.get_object(), **data)
        return Response(OrderSerializer(order).data)

    @extend_schema(request=OnDay, responses={200: OrderSerializer})
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Expect the rest no more."""
        data = validated_body(OnDay, request)
        order = close_order(order=self.get_object(), **data)
        return Response(OrderSerializer(order).data)


class CreditViewSet(ReadViewSet):
    """What suppliers owe for stock sent back, until it is settled."""

    queryset = Credit.objects.all()
    serializer_class = CreditSerializer
    filterset_fields = {"supplier": ["exact"], "settled_on": ["exact", "isnull"]}
    write_roles = BOOK_ROLES

    def get_queryset(self) -> QuerySet[Credit]:
        return due_credits()

    @extend_schema(request=OnDay, responses={200: CreditSerializer})
    @action(detail=True, methods=["post"])
    def settle(self, request: Request, pk: str) -> Response:
        """Note that the credit was paid, or taken off an invoice."""
        data = validated_body(OnDay, request)
        credit = settle_credit(credit=self.get_object(), **data)
        return Response(CreditSerializer(credit).data)
