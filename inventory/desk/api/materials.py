"""Materials over the API: what there is of each, and what is done with it."""

from typing import Any

from django.db import transaction
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.views import NO_DELETE, EditViewSet
from inventory.counting.services import count_stock
from inventory.desk.api import material_requests as material_asked
from inventory.models import Material
from inventory.purchasing.queries.orders import coming
from inventory.shelf.api import entries as happenings
from inventory.shelf.api import rows as serializers
from inventory.shelf.api.entries import ENTRIES, entries_answer
from inventory.shelf.api.filters import MaterialFilter
from inventory.shelf.services.moves import draw_stock, scrap_stock
from inventory.shelf.services.rack import sell_stock
from inventory.shelf.services.records import record_price

PRICES = ("replacement_price", "replacement_checked_on", "realisable_price")


class MaterialViewSet(ChangesMixin, EditViewSet):
    """Materials: what there is of each, and drawing, scrapping and counting it."""

    queryset = Material.objects.select_related("family").order_by("name")
    serializer_class = serializers.MaterialSerializer
    filterset_class = MaterialFilter
    search_fields = ["name"]
    ordering_fields = ["name", "on_hand", "book_cost", "replacement_checked_on"]
    http_method_names = NO_DELETE

    def perform_create(self, serializer: Any) -> None:
        self._save_noting_prices(serializer)

    def perform_update(self, serializer: Any) -> None:
        self._save_noting_prices(serializer)

    @transaction.atomic
    def _save_noting_prices(self, serializer: Any) -> None:
        """Save; prices join the history of the material, as checked on the day that is sent."""
        asked = serializer.validated_data
        sent = {name: asked.pop(name) for name in PRICES if name in asked}
        row = serializer.save()
        if sent:
            record_price(
                material=row,
                price=sent.get("replacement_price", row.replacement_price),
                on=sent.get("replacement_checked_on") or timezone.localdate(),
                realisable=sent.get("realisable_price", row.realisable_price),
            )

    def _asked(self, kind: type[material_asked.OfMaterial], request: Request) -> dict[str, Any]:
        material = self.get_object()
        data = validated_body(kind, request, material=material)
        data["happened_at"] = moment_of(request, data.get("happened_at")).at
        return {"material": material, "now": timezone.now(), "user": request.user, **data}

    @extend_schema(request=material_asked.DrawStock, responses=ENTRIES, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"])
    def draw(self, request: Request, pk: str) -> Response:
        """Take stock for a holder. Never refused for lack of stock: see `to_reconcile`."""
        return entries_answer(draw_stock(**self._asked(material_asked.DrawStock, request)))

    @extend_schema(request=material_asked.Scrap, responses=ENTRIES, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"])
    def scrap(self, request: Request, pk: str) -> Response:
        """Take stock off the shelf as lost."""
        return entries_answer(scrap_stock(**self._asked(material_asked.Scrap, request)))

    @extend_schema(responses=happenings.ComingSerializer(many=True), filters=False)
    @action(detail=True, methods=["get"], pagination_class=None)
    def coming(self, request: Request, pk: str) -> Response:
        """What is ordered of it: on sheets that were sent, and not here yet."""
        rows = coming(self.get_object())
        return Response(happenings.ComingSerializer(rows, many=True).data)

    @extend_schema(
        request=material_asked.Sell,
        responses={201: happenings.SaleSerializer},
        parameters=[DEVICE_TIME],
    )
    @action(detail=True, methods=["post"])
    def sell(self, request: Request, pk: str) -> Response:
        """Sell stock; its cost leaves with it. Reverse its entry to undo."""
        sale = sell_stock(**self._asked(material_asked.Sell, request))
        return Response(happenings.SaleSerializer(sale).data, status=201)

    @extend_schema(request=material_asked.CountStock, responses=ENTRIES, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"])
    def count(self, request: Request, pk: str) -> Response:
        """Count the material; the answer lists the differences posted."""
        return entries_answer(count_stock(**self._asked(material_asked.CountStock, request)))
