"""Lots by number over the API, and what is done with one lot or piece."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import happenings, lot_asked, serializers
from inventory.api.filters import LotFilter
from inventory.api.happenings import ENTRIES, entries_answer
from inventory.api.traces import WentSerializer
from inventory.api.wood import MoistureReadingSerializer
from inventory.models import Lot
from inventory.queries.traces import where_it_went
from inventory.rest.asking import asked_of
from inventory.rest.device_time import DEVICE_TIME, moment_of
from inventory.rest.etags import VersionedMixin
from inventory.rest.views import NO_CREATE, ReadViewSet
from inventory.services.add_photo import add_photo
from inventory.services.cut_stock import cut_stock
from inventory.services.expire_lot import expire_lot
from inventory.services.judge_piece import judge_piece
from inventory.services.lose_part import lose_part
from inventory.services.open_pack import open_pack
from inventory.services.read_moisture import read_moisture
from inventory.services.send_back import send_back
from inventory.services.split_set import split_set


class LotViewSet(VersionedMixin, mixins.UpdateModelMixin, ReadViewSet):
    """Lots by number; place, dates and note can be changed."""

    queryset = Lot.objects.order_by("number")
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
    def send_back(self, request: Request, number: str) -> Response:
        """Send stock of this lot back to its supplier for a credit."""
        data = asked_of(lot_asked.SendBack, request)
        entry = send_back(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return Response(happenings.EntrySerializer(entry).data, status=201)

    @extend_schema(request=lot_asked.Cut, responses={201: serializers.LotSerializer(many=True)})
    @action(detail=True, methods=["post"])
    def cut(self, request: Request, number: str) -> Response:
        """Cut it into parts and remnants, its cost shared to the minor unit."""
        asking = lot_asked.Cut(data=request.data)
        asking.is_valid(raise_exception=True)
        made = cut_stock(
            lot=self._lot(), now=timezone.now(), user=request.user, **asking.to_arguments()
        )
        fresh = Lot.objects.filter(pk__in=[lot.pk for lot in made]).order_by("pk")
        return Response(serializers.LotSerializer(fresh, many=True).data, status=201)

    @extend_schema(request=lot_asked.Lose, responses=ENTRIES)
    @action(detail=True, methods=["post"])
    def lose(self, request: Request, number: str) -> Response:
        """Scrap a part: its cost on the good parts of the cut, or as a loss of its own."""
        data = asked_of(lot_asked.Lose, request)
        entries = lose_part(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return entries_answer(entries)

    @extend_schema(request=lot_asked.Split, responses={201: serializers.LotSerializer(many=True)})
    @action(detail=True, methods=["post"])
    def split(self, request: Request, number: str) -> Response:
        """Split a set into its parts; taking its entry back joins them again."""
        data = asked_of(lot_asked.Split, request)
        made = split_set(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        fresh = Lot.objects.filter(pk__in=[lot.pk for lot in made]).order_by("pk")
        return Response(serializers.LotSerializer(fresh, many=True).data, status=201)

    @extend_schema(request=lot_asked.Judge, responses={201: happenings.EntrySerializer})
    @action(detail=True, methods=["post"])
    def judge(self, request: Request, number: str) -> Response:
        """Call a piece downgraded or rejected; nobody is promised it any more."""
        data = asked_of(lot_asked.Judge, request)
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
        data = asked_of(lot_asked.Photographed, request)
        on = timezone.localtime(moment_of(request, data["happened_at"]).at).date()
        photo = add_photo(lot=self._lot(), upload=data["photo"], on=on, note=data["note"])
        return Response(serializers.PhotoSerializer(photo).data, status=201)

    @extend_schema(request=lot_asked.Moisture, responses={201: MoistureReadingSerializer})
    @action(detail=True, methods=["post"])
    def moisture(self, request: Request, number: str) -> Response:
        """Note what a meter says, raw and corrected."""
        reading = read_moisture(lot=self._lot(), **asked_of(lot_asked.Moisture, request))
        return Response(MoistureReadingSerializer(reading).data, status=201)

    @extend_schema(request=lot_asked.OpenPack, responses={200: serializers.LotSerializer})
    @action(detail=True, methods=["post"])
    def open(self, request: Request, number: str) -> Response:
        """Open a pack: from now on it keeps as an opened one does."""
        lot = open_pack(lot=self._lot(), **asked_of(lot_asked.OpenPack, request))
        return Response(serializers.LotSerializer(lot).data)

    @extend_schema(request=lot_asked.WriteOff, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="write-off")
    def write_off(self, request: Request, number: str) -> Response:
        """Take what has expired to nil."""
        data = asked_of(lot_asked.WriteOff, request)
        entries = expire_lot(lot=self._lot(), now=timezone.now(), user=request.user, **data)
        return entries_answer(entries)

    @extend_schema(responses=WentSerializer(many=True), filters=False)
    @action(detail=True, methods=["get"], pagination_class=None)
    def went(self, request: Request, number: str) -> Response:
        """Everyone who holds something of it, however it got there."""
        rows = where_it_went(self._lot())
        return Response(WentSerializer(rows, many=True).data)
