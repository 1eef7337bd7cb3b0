"""Papers and pictures of lots in the API: listed, added, read; and the sheet for customs."""

from typing import Any

from django.db.models.fields.files import FieldFile
from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.generics import get_object_or_404
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.paper import FILE_RENDERERS, JPEG, PAPER_RENDERERS, PDF, kind_asked
from inventory.base.api.parsers import PlainJSONParser
from inventory.base.api.views import ActionView, EditViewSet, ReadViewSet, Serializer
from inventory.base.forms import MOST_BYTES
from inventory.base.roles import BOOK_ROLES
from inventory.models import Lot, Material, Paper, Photo, Workshop
from inventory.paperwork.documents import customs_sheet
from inventory.paperwork.forms import SAY_WHICH, says_which
from inventory.shelf.api.filters import PhotoFilter
from inventory.shelf.api.rows import PhotoSerializer
from inventory.shelf.queries.traces import contents_of, holder_names, papers_of
from inventory.shelf.services.records import remove_paper, remove_photo

ANY_FILE: dict[Any, Any] = {(200, "application/octet-stream"): OpenApiTypes.BINARY}


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "an invoice",
            value={"kind": "invoice", "number": "2027-118", "issued_by": "Bramble & Sons Timber"},
            request_only=True,
        )
    ]
)
class PaperData(Serializer):
    """One paper of a lot: kept and shown, never judged. Check with the authority."""

    lot = serializers.CharField(source="lot.number", read_only=True)
    file = serializers.FileField(required=False, allow_null=True, write_only=True)
    has_file = serializers.SerializerMethodField()

    class Meta:
        model = Paper
        fields = [
            "id",
            "lot",
            "kind",
            "number",
            "issued_by",
            "issued_on",
            "valid_until",
            "note",
            "file",
            "has_file",
        ]

    def get_has_file(self, paper: Paper) -> bool:
        return bool(paper.file)

    def validate_file(self, file: Any) -> Any:
        if file is not None and file.size > MOST_BYTES:
            raise serializers.ValidationError(
                "This file is larger than 25 MB. Upload a smaller one."
            )
        return file or ""

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if self.instance is None and not says_which(attrs):
            raise serializers.ValidationError({"number": SAY_WHICH})
        return attrs


class PaperViewSet(EditViewSet):
    """Papers, each of one lot; a new one is added to its lot."""

    write_roles = BOOK_ROLES
    queryset = Paper.objects.select_related("lot").order_by("pk")
    serializer_class = PaperData
    filterset_fields = ["kind"]
    parser_classes = [PlainJSONParser, MultiPartParser]
    http_method_names = ["get", "put", "patch", "delete", "head", "options"]

    def perform_destroy(self, instance: Paper) -> None:
        """Throw a paper away, its file with it."""
        remove_paper(paper=instance)


class LotPapersView(ActionView):
    """Papers of a lot and of what it was cut from."""

    write_roles = BOOK_ROLES
    parser_classes = [PlainJSONParser, MultiPartParser]

    @extend_schema(responses=PaperData(many=True))
    def get(self, request: Request, number: str) -> Response:
        """List the papers of the lot, and those of the board that it was cut from."""
        return Response(PaperData(papers_of(_lot(number)), many=True).data)

    @extend_schema(
        request={"application/json": PaperData, "multipart/form-data": PaperData},
        responses={201: PaperData},
    )
    def post(self, request: Request, number: str) -> Response:
        """Add a paper to the lot, with a file of it or without."""
        lot = _lot(number)
        asked = PaperData(data=request.data)
        asked.is_valid(raise_exception=True)
        return Response(PaperData(asked.save(lot=lot)).data, status=201)


class PaperFileView(ActionView):
    """The file of a paper."""

    write_roles = BOOK_ROLES
    renderer_classes = FILE_RENDERERS

    @extend_schema(responses=ANY_FILE)
    def get(self, request: Request, pk: int) -> FileResponse:
        """Return the file as it was sent, to be opened outside the browser."""
        paper = get_object_or_404(Paper, pk=pk)
        return _sent(paper.file)


class CustomsView(ActionView):
    """The sheet for customs."""

    renderer_classes = PAPER_RENDERERS

    @extend_schema(responses=PDF)
    def get(self, request: Request, holder: str) -> Response:
        """Return one sheet (PDF) with every piece of an instrument and its papers."""
        rows = contents_of(holder)
        if not rows:
            raise NotFound("No stock is drawn for this key.")
        title = holder_names([holder]).get(holder, holder)
        shop, on = Workshop.objects.first(), timezone.localdate()
        printed = customs_sheet(title=title, rows=rows, workshop=shop, on=on)
        return Response(printed, content_type="application/pdf")


def _lot(number: str) -> Lot:
    return get_object_or_404(Lot, number=number)


class PhotoViewSet(ReadViewSet):
    """Pictures of lots and pieces, the latest first; a new one is added to its lot."""

    queryset = Photo.objects.select_related("lot").order_by("-pk")
    serializer_class = PhotoSerializer
    filterset_class = PhotoFilter

    @extend_schema(responses=JPEG)
    @action(detail=True, methods=["get"], renderer_classes=FILE_RENDERERS)
    def file(self, request: Request, pk: str) -> FileResponse:
        """Send the picture itself."""
        return _picture(request, self.get_object().image)

    @extend_schema(responses=JPEG)
    @action(detail=True, methods=["get"], url_path="file/small", renderer_classes=FILE_RENDERERS)
    def small(self, request: Request, pk: str) -> FileResponse:
        """Send the picture as small as a list needs it."""
        photo = self.get_object()
        return _picture(request, photo.small or photo.image)

    @extend_schema(request=None, responses={204: None})
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: str) -> Response:
        """Throw a picture away."""
        remove_photo(photo=self.get_object())
        return Response(status=204)


class DataSheetView(ActionView):
    """The safety data sheet of a material."""

    renderer_classes = FILE_RENDERERS

    @extend_schema(responses=ANY_FILE)
    def get(self, request: Request, pk: int) -> FileResponse:
        """Send the safety data sheet; 404 where none is kept."""
        return _sent(get_object_or_404(Material, pk=pk).data_sheet)


def _picture(request: Request, file: FieldFile) -> FileResponse:
    kind = kind_asked(request, "image/jpeg")
    return FileResponse(_kept(file).open("rb"), content_type=kind)


def _sent(file: FieldFile) -> FileResponse:
    """Send a file to be opened outside the browser, whatever kind it is."""
    opened = _kept(file).open("rb")
    return FileResponse(opened, as_attachment=True, content_type="application/octet-stream")


def _kept(file: FieldFile) -> FieldFile:
    """Return `file`, or answer that there is none."""
    if not file or not file.storage.exists(file.name or ""):
        raise NotFound("No such file is kept here.")
    return file
