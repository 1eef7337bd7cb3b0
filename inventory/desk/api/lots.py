"""Lots by number over the API, and what is done with one lot or piece."""

from collections.abc import Iterable

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.etags import VersionedMixin
from inventory.base.api.views import NO_CREATE, ReadViewSet
from inventory.cutting.services import cut_stock, record_lost_part
from inventory.desk.api import lot_requests as lot_asked
from inventory.desk.api.traces import WentSerializer
from inventory.models import Lot
from inventory.purchasing.services.deliveries import return_to_supplier
from inventory.shelf.api import entries as happenings
from inventory.shelf.api import rows as serializers
from inventory.shelf.api.entries import ENTRIES, entries_answer
from inventory.shelf.api.filters import LotFilter
from inventory.shelf.queries.traces import where_it_went
from inventory.shelf.services.moves import expire_lot, open_pack
from inventory.shelf.services.rack import judge_piece, split_set
from inventory.shelf.services.records import add_photo
from inventory.wood.api import MoistureReadingSerializer
from inventory.wood.services import record_moisture


class LotViewSet(ChangesMixin, VersionedMixin, mixins.UpdateModelMixin, ReadViewSet):
    """Lots by number; place, dates and note can be changed."""

    queryset = Lot.objects.select_related("cut_from").order_by("number")
    serializer_class = serializers.LotSerializer
    filterset_class = LotFilter
    search_fields = ["number", "note"]
    lookup_field = "number"
    http_method_names = NO_CREATE

    def _lot(self) -> Lot:
        lot: Lot = self.get_object()
        return lot

    @extend_schema(request=lot_asked.SendBack, responses={201: happenings.EntrySerializer})
    @action(detail=True, methods=["post"], url_path="send-back")
    def return_to_supplier(self, request: Request, number: str) -> Response:
        """Send stock of this lot back to its supplier for a credit."""
        data = validated_body(lot_asked.SendBack, request)
        entry = return_to_supplier(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return Response(happenings.EntrySerializer(entry).data, status=201)

    @extend_schema(
        request=lot_asked.CutStock, responses={201: serializers.LotSerializer(many=True)}
    )
    @action(detail=True, methods=["post"])
    def cut(self, request: Request, number: str) -> Response:
        """Cut it into parts and remnants, its cost shared to the minor unit."""
        asking = lot_asked.CutStock(data=request.data)
        asking.is_valid(raise_exception=True)
        made = cut_stock(
            lot=self._lot(), now=timezone.now(), user=request.user, **asking.to_arguments()
        )
        return lots_answer(made)

    @extend_schema(request=lot_asked.Lose, responses=ENTRIES)
    @action(detail=True, methods=["post"])
    def lose(self, request: Request, number: str) -> Response:
        """Scrap a part: its cost on the good parts of the cut, or as a loss of its own."""
        data = validated_body(lot_asked.Lose, request)
        entries = record_lost_part(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return entries_answer(entries)

    @extend_schema(request=lot_asked.Split, responses={201: serializers.LotSerializer(many=True)})
    @action(detail=True, methods=["post"])
    def split(self, request: Request, number: str) -> Response:
        """Split a set into its parts; taking its entry back joins them again."""
        data = validated_body(lot_asked.Split, request)
        made = split_set(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return lots_answer(made)

    @extend_schema(request=lot_asked.Judge, responses={201: happenings.EntrySerializer})
    @action(detail=True, methods=["post"])
    def judge(self, request: Request, number: str) -> Response:
        """Downgrade or reject a piece; it can no longer be reserved."""
        data = validated_body(lot_asked.Judge, request)
        entry = judge_piece(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return Response(happenings.EntrySerializer(entry).data, status=201)

    @extend_schema(
        request={"multipart/form-data": lot_asked.Photographed},
        responses={201: serializers.PhotoSerializer},
        parameters=[DEVICE_TIME],
    )
    @action(detail=True, methods=["post"], parser_classes=[MultiPartParser])
    def photos(self, request: Request, number: str) -> Response:
        """Keep a picture of the lot; it is made small and loses its place."""
        data = validated_body(lot_asked.Photographed, request)
        on = timezone.localtime(moment_of(request, data["happened_at"]).at).date()
        photo = add_photo(lot=self._lot(), upload=data["photo"], on=on, note=data["note"])
        return Response(serializers.PhotoSerializer(photo).data, status=201)

    @extend_schema(request=lot_asked.Moisture, responses={201: MoistureReadingSerializer})
    @action(detail=True, methods=["post"])
    def moisture(self, request: Request, number: str) -> Response:
        """Note what a meter says, raw and corrected."""
        reading = record_moisture(lot=self._lot(), **validated_body(lot_asked.Moisture, request))
        return Response(MoistureReadingSerializer(reading).data, status=201)

    @extend_schema(request=lot_asked.OpenPack, responses={200: serializers.LotSerializer})
    @action(detail=True, methods=["post"])
    def open(self, request: Request, number: str) -> Response:
        """Open a pack: from now on it keeps as an opened one does."""
        lot = open_pack(lot=self._lot(), **validated_body(lot_asked.OpenPack, request))
        return Response(serializers.LotSerializer(lot).data)

    @extend_schema(request=lot_asked.WriteOff, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="write-off")
    def write_off(self, request: Request, number: str) -> Response:
        """Take what has expired to nil."""
        data = validated_body(lot_asked.WriteOff, request)
        entries = expire_lot(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return entries_answer(entries)

    @extend_schema(responses=WentSerializer(many=True), filters=False)
    @action(detail=True, methods=["get"], pagination_class=None)
    def went(self, request: Request, number: str) -> Response:
        """Everyone who holds something of it, however it got there."""
        rows = where_it_went(self._lot())
        return Response(WentSerializer(rows, many=True).data)


def lots_answer(made: Iterable[Lot]) -> Response:
    """Return the data of lots that were just made, in the order of their making."""
    keys = [lot.pk for lot in made]
    fresh = Lot.objects.select_related("cut_from").filter(pk__in=keys).order_by("pk")
    return Response(serializers.LotSerializer(fresh, many=True).data, status=201)
