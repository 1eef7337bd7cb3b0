"""Pieces by number over the API: sizes, mass, grade."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.etags import VersionedMixin
from inventory.base.api.views import NO_CREATE, ReadViewSet
from inventory.desk.api import lot_requests as lot_asked
from inventory.models import Piece
from inventory.shelf.api import rows as serializers
from inventory.shelf.api.filters import PieceFilter
from inventory.wood.services import weigh_piece


class PieceViewSet(ChangesMixin, VersionedMixin, mixins.UpdateModelMixin, ReadViewSet):
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
        """Record a weighing; the answer says whether the piece is ready."""
        data = validated_body(lot_asked.Weighed, request)
        on = timezone.localtime(moment_of(request, data["happened_at"]).at).date()
        piece = self.get_object()
        verdict = weigh_piece(lot=piece.lot, grams=data["grams"], on=on)
        body = {"number": piece.lot.number, "grams": data["grams"], "on": on}
        body |= {"ready": verdict.ready, "reason": verdict.reason}
        return Response(serializers.SettledSerializer(body).data, status=201)
