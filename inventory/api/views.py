"""Materials, lots, pieces, the journal, promises and deliveries over the API."""

from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import asked, happenings, serializers
from inventory.api.filters import EntryFilter, LotFilter, MaterialFilter, PieceFilter, PromiseFilter
from inventory.api.lot_actions import LotActions
from inventory.models import (
    Delivery,
    Family,
    Lot,
    Material,
    Piece,
    Place,
    Promise,
    Sale,
    StockEntry,
    Supplier,
)
from inventory.queries.deliveries import delivery_in_full, received_by
from inventory.queries.orders import coming
from inventory.refusals import Refusal
from inventory.rest.device_time import DEVICE_TIME, moment_of
from inventory.rest.etags import VersionedMixin
from inventory.rest.pagination import JournalPages
from inventory.rest.views import EditViewSet, ReadViewSet
from inventory.roles import BOOK_ROLES
from inventory.services.correct_entry import correct_entry
from inventory.services.count_stock import count_stock
from inventory.services.draw_stock import draw_stock
from inventory.services.note_price import note_price
from inventory.services.promise_stock import promise_stock
from inventory.services.receive_delivery import receive_delivery
from inventory.services.release_promise import release_promise
from inventory.services.return_stock import return_stock
from inventory.services.scrap_stock import scrap_stock
from inventory.services.sell_stock import sell_stock
from inventory.services.undo_entries import undo_entries
from inventory.services.weigh_piece import weigh_piece

ENTRIES = {201: happenings.EntrySerializer(many=True)}
ENTRY = {201: happenings.EntrySerializer}
PRICES = ("replacement_price", "replacement_checked_on", "realisable_price")
NO_DELETE = ["get", "post", "put", "patch", "head", "options"]
NO_CREATE = ["get", "put", "patch", "post", "head", "options"]


def _entries(entries: list[StockEntry]) -> Response:
    return Response(happenings.EntrySerializer(entries, many=True).data, status=201)


def _read(serializer: Any) -> dict[str, Any]:
    serializer.is_valid(raise_exception=True)
    data: dict[str, Any] = serializer.validated_data
    return data


class FamilyViewSet(EditViewSet):
    """Families of materials."""

    queryset = Family.objects.all()
    serializer_class = serializers.FamilySerializer
    http_method_names = NO_DELETE


class PlaceViewSet(EditViewSet):
    """Places where stock lies."""

    queryset = Place.objects.all()
    serializer_class = serializers.PlaceSerializer


class SupplierViewSet(EditViewSet):
    """Suppliers."""

    queryset = Supplier.objects.all()
    serializer_class = serializers.SupplierSerializer
    http_method_names = NO_DELETE
    write_roles = BOOK_ROLES


class MaterialViewSet(EditViewSet):
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
            note_price(
                material=row,
                price=sent.get("replacement_price", row.replacement_price),
                on=sent.get("replacement_checked_on") or timezone.localdate(),
                realisable=sent.get("realisable_price", row.realisable_price),
            )

    def _asked(self, kind: type[asked.OfMaterial], request: Request) -> dict[str, Any]:
        material = self.get_object()
        data = _read(kind(data=request.data, context={"material": material}))
        data["happened_at"] = moment_of(request, data.get("happened_at")).at
        return {"material": material, "now": timezone.now(), "user": request.user, **data}

    @extend_schema(request=asked.Draw, responses=ENTRIES, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"])
    def draw(self, request: Request, pk: str) -> Response:
        """Take stock for a holder. Never refused for lack of stock: see `to_reconcile`."""
        return _entries(draw_stock(**self._asked(asked.Draw, request)))

    @extend_schema(request=asked.Scrap, responses=ENTRIES, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"])
    def scrap(self, request: Request, pk: str) -> Response:
        """Take stock off the shelf as lost."""
        return _entries(scrap_stock(**self._asked(asked.Scrap, request)))

    @extend_schema(responses=happenings.ComingSerializer(many=True), filters=False)
    @action(detail=True, methods=["get"], pagination_class=None)
    def coming(self, request: Request, pk: str) -> Response:
        """What is ordered of it: on sheets that were sent, and not here yet."""
        rows = coming(self.get_object())
        return Response(happenings.ComingSerializer(rows, many=True).data)

    @extend_schema(
        request=asked.Sell, responses={201: happenings.SaleSerializer}, parameters=[DEVICE_TIME]
    )
    @action(detail=True, methods=["post"])
    def sell(self, request: Request, pk: str) -> Response:
        """Sell stock from the rack; its cost leaves with it. Taken back by its entry."""
        sale = sell_stock(**self._asked(asked.Sell, request))
        return Response(happenings.SaleSerializer(sale).data, status=201)

    @extend_schema(request=asked.Count, responses=ENTRIES, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"])
    def count(self, request: Request, pk: str) -> Response:
        """Say what is really there; the answer lists the differences booked."""
        return _entries(count_stock(**self._asked(asked.Count, request)))


class LotViewSet(LotActions, VersionedMixin, mixins.UpdateModelMixin, ReadViewSet):
    """Lots by number; place, dates and note can be changed."""

    queryset = Lot.objects.order_by("number")
    serializer_class = serializers.LotSerializer
    filterset_class = LotFilter
    search_fields = ["number", "note"]
    lookup_field = "number"
    http_method_names = NO_CREATE


class PieceViewSet(VersionedMixin, mixins.UpdateModelMixin, ReadViewSet):
    """Pieces by number: sizes, mass, grade."""

    queryset = Piece.objects.select_related("lot").order_by("lot__number")
    serializer_class = serializers.PieceSerializer
    filterset_class = PieceFilter
    search_fields = ["lot__number", "grade"]
    lookup_field = "lot__number"
    lookup_url_kwarg = "number"
    http_method_names = NO_CREATE

    @extend_schema(
        request=asked.Weighed,
        responses={201: serializers.SettledSerializer},
        parameters=[DEVICE_TIME],
    )
    @action(detail=True, methods=["post"])
    def weighings(self, request: Request, number: str) -> Response:
        """Note what the piece weighs, and hear whether it has settled."""
        data = _read(asked.Weighed(data=request.data))
        on = timezone.localtime(moment_of(request, data["happened_at"]).at).date()
        piece = self.get_object()
        verdict = weigh_piece(lot=piece.lot, grams=data["grams"], on=on)
        body = {"number": piece.lot.number, "grams": data["grams"], "on": on}
        body |= {"ready": verdict.ready, "reason": verdict.reason}
        return Response(serializers.SettledSerializer(body).data, status=201)


class EntryViewSet(ReadViewSet):
    """The stock journal, the latest told first."""

    queryset = StockEntry.objects.select_related("lot", "material")
    serializer_class = happenings.EntrySerializer
    pagination_class = JournalPages
    filterset_class = EntryFilter
    filter_backends = [DjangoFilterBackend]

    @extend_schema(request=asked.BringBack, responses=ENTRY, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"], url_path="return")
    def bring_back(self, request: Request, pk: str) -> Response:
        """Put some of a draw back on the shelf, at the cost it was drawn at."""
        data = _read(asked.BringBack(data=request.data))
        data["happened_at"] = moment_of(request, data["happened_at"]).at
        entry = return_stock(entry=self.get_object(), now=timezone.now(), user=request.user, **data)
        return Response(happenings.EntrySerializer(entry).data, status=201)

    @extend_schema(request=asked.Correct, responses=ENTRY)
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Undo an entry that stands alone by its counter-entry."""
        data = _read(asked.Correct(data=request.data))
        entry = correct_entry(
            entry=self.get_object(), now=timezone.now(), user=request.user, **data
        )
        return Response(happenings.EntrySerializer(entry).data, status=201)

    @extend_schema(request=asked.Correct, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="take-back")
    def take_back(self, request: Request, pk: str) -> Response:
        """Undo an entry and all that was done at once with it, such as a whole cut.

        Answered 409 when a part of it has been used, promised or moved meanwhile.
        """
        data = _read(asked.Correct(data=request.data))
        entries = [self.get_object()]
        return _entries(
            undo_entries(entries=entries, now=timezone.now(), user=request.user, **data)
        )


class SaleViewSet(ReadViewSet):
    """What was sold from the rack, the latest first."""

    queryset = Sale.objects.order_by("-pk")
    serializer_class = happenings.SaleSerializer


class PromiseViewSet(ReadViewSet):
    """Promises: stock put aside for a holder."""

    queryset = Promise.objects.select_related("lot", "material").order_by("-pk")
    serializer_class = happenings.PromiseSerializer
    filterset_class = PromiseFilter

    @extend_schema(request=asked.Promised, responses={201: happenings.PromiseSerializer, 409: None})
    def create(self, request: Request) -> Response:
        """Promise stock. Answered 409 when that much is not free."""
        data = _read(asked.Promised(data=request.data))
        promise = promise_stock(now=timezone.now(), **data)
        return Response(happenings.PromiseSerializer(promise).data, status=201)

    @extend_schema(request=None, responses={200: happenings.PromiseSerializer})
    @action(detail=True, methods=["post"])
    def release(self, request: Request, pk: str) -> Response:
        """Let go of what the promise still holds. Doing it twice changes nothing."""
        promise = release_promise(promise=self.get_object(), now=timezone.now())
        return Response(happenings.PromiseSerializer(promise).data)


class DeliveryViewSet(ReadViewSet):
    """Deliveries, the latest first."""

    serializer_class = happenings.DeliverySerializer
    filterset_fields = ["supplier", "received_on"]
    queryset = Delivery.objects.all()
    write_roles = BOOK_ROLES

    def get_queryset(self) -> QuerySet[Delivery]:
        return delivery_in_full()

    @extend_schema(request=asked.NewDelivery, responses={201: happenings.DeliverySerializer})
    def create(self, request: Request) -> Response:
        """Book a delivery in; carriage and duty are shared over its lines."""
        asking = asked.NewDelivery(data=request.data)
        asking.is_valid(raise_exception=True)
        row = receive_delivery(now=timezone.now(), user=request.user, **asking.to_arguments())
        full = delivery_in_full().get(pk=row.pk)
        return Response(happenings.DeliverySerializer(full).data, status=201)

    @extend_schema(request=asked.Correct, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="take-back")
    def take_back(self, request: Request, pk: str) -> Response:
        """Undo a delivery that was booked by mistake.

        Answered 409 when something of it has been used or promised since.
        """
        data = _read(asked.Correct(data=request.data))
        entries = received_by(self.get_object())
        if not entries:
            raise Refusal("This delivery has been taken back already.")
        return _entries(
            undo_entries(entries=entries, now=timezone.now(), user=request.user, **data)
        )
