"""Pieces by number over the API: sizes, mass, grade."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import lot_asked, serializers
from inventory.api.filters import PieceFilter
from inventory.models import Piece
from inventory.rest.asking import asked_of
from inventory.rest.device_time import DEVICE_TIME, moment_of
from inventory.rest.etags import VersionedMixin
from inventory.rest.views import NO_CREATE, ReadViewSet
from inventory.services.weigh_piece import weigh_piece


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
        request=lot_asked.Weighed,
        responses={201: serializers.SettledSerializer},
        parameters=[DEVICE_TIME],
    )
    @action(detail=True, methods=["post"])
    def weighings(self, request: Request, number: str) -> Response:
        """Note what the piece weighs, and hear whether it has settled."""
        data = asked_of(lot_asked.Weighed, request)
        on = timezone.localtime(moment_of(request, data["happened_at"]).at).date()
        piece = self.get_object()
        verdict = weigh_piece(lot=piece.lot, grams=data["grams"], on=on)
        body = {"number": piece.lot.number, "grams": data["grams"], "on": on}
        body |= {"ready": verdict.ready, "reason": verdict.reason}
        return Response(serializers.SettledSerializer(body).data, status=201)
