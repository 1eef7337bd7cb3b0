"""Old sheets in the API: read, previewed, loaded, undone."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.parsers import FormParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.parsers import PlainJSONParser
from inventory.base.api.views import ActionView
from shop.models import BuildTemplate, OldSheet
from shop.past_sheets.calc.records import Columns, OldBuild, Sheet, StageUse
from shop.past_sheets.queries import (
    Preview,
    SheetChoices,
    preview_of,
    read_file,
    read_pasted,
    sheets_of,
)
from shop.past_sheets.services import load_old_hours, undo_old_hours

KINDS = [
    ("stage", "a stage of the template"),
    ("own", "keep it as a stage of its own"),
    ("out", "left out"),
]


class ColumnsData(serializers.Serializer):
    """Which column holds what, counted from 0. Without `stage` and `hours` a row is a build."""

    build = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    title = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    stage = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    hours = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    started = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    finished = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    batch = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    options = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    stages = serializers.ListField(child=serializers.IntegerField(min_value=0), required=False)


class UseData(serializers.Serializer):
    """What is done with the hours under one name of the sheet."""

    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=KINDS, allow_null=True)
    stage = serializers.IntegerField(required=False, allow_null=True)
    guessed = serializers.BooleanField(read_only=True)


class OldHoursAsked(serializers.Serializer):
    """A file, or rows as text. Without `load` nothing is written: it is only read."""

    file = serializers.FileField(required=False, help_text="CSV or XLSX, as multipart/form-data.")
    rows = serializers.CharField(required=False, help_text="The same as text, header row first.")
    columns = ColumnsData(required=False, help_text="Default: from the header.")
    uses = UseData(many=True, required=False, help_text="Default: remembered or guessed.")
    day_first = serializers.BooleanField(required=False, allow_null=True, default=None)
    undated = serializers.DateField(required=False, allow_null=True)
    load = serializers.BooleanField(default=False)

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if bool(asked.get("file")) == bool(asked.get("rows")):
            raise serializers.ValidationError({"file": "Send a file, or rows, not both."})
        return asked


class OldBuildData(serializers.Serializer):
    """One build of a sheet; with troubles it is left out whole."""

    name = serializers.CharField()
    title = serializers.CharField()
    started = serializers.DateField(allow_null=True)
    finished = serializers.DateField(allow_null=True)
    batch = serializers.CharField()
    options = serializers.ListField(child=serializers.CharField())
    minutes = serializers.IntegerField(source="all_minutes")
    in_books = serializers.BooleanField()
    troubles = serializers.ListField(child=serializers.CharField())


class OldHoursData(serializers.Serializer):
    """A sheet as it was read. unsettled: names to settle first. loaded: the load, if there was."""

    headers = serializers.ListField(child=serializers.CharField())
    columns = ColumnsData()
    uses = UseData(many=True)
    unsettled = serializers.ListField(child=serializers.CharField())
    day_first = serializers.BooleanField()
    builds = OldBuildData(many=True)
    troubles = serializers.ListField(child=serializers.CharField())
    loadable = serializers.IntegerField()
    loaded = serializers.IntegerField(allow_null=True)


class OldSheetData(serializers.ModelSerializer):
    """One load of old sheets."""

    builds = serializers.IntegerField(source="build_count", read_only=True)

    class Meta:
        model = OldSheet
        fields = ["id", "template", "name", "loaded_at", "loaded_by", "builds"]
        read_only_fields = fields


@extend_schema(tags=["hours"])
class OldHoursView(ActionView):
    """Builds from before these books."""

    parser_classes = [PlainJSONParser, MultiPartParser, FormParser]

    @extend_schema(responses=OldSheetData(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """List what was loaded into a template."""
        template = get_object_or_404(BuildTemplate, pk=pk)
        return Response(OldSheetData(sheets_of(template), many=True).data)

    @extend_schema(
        request=OldHoursAsked,
        responses={200: OldHoursData, 201: OldHoursData},
        examples=[
            OpenApiExample(
                "one column per stage",
                value={
                    "rows": "Serial;Finished;Carve neck;Lacquer\nM-07;March 2021;3:15;6.5",
                    "uses": [{"name": "Lacquer", "kind": "stage", "stage": 17}],
                },
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        """Preview a sheet; with `load` load it, all or nothing."""
        template = get_object_or_404(BuildTemplate, pk=pk)
        asked = validated_body(OldHoursAsked, request)
        sheet, name = _sheet(asked)
        preview = preview_of(template, sheet, _choices(asked))
        loaded = None
        if asked["load"]:
            loaded = load_old_hours(
                template=template,
                reading=preview.reading,
                uses=preview.uses,
                person=request.user,
                now=timezone.now(),
                name=name,
            )
        return Response(_shown(preview, loaded), status=201 if loaded else 200)


@extend_schema(tags=["hours"])
class TakeBackView(ActionView):
    """A load of old sheets that was a mistake."""

    @extend_schema(request=None, responses={204: None})
    def post(self, request: Request, pk: int) -> Response:
        """Take a load back, unless one of its builds has been worked with since."""
        undo_old_hours(sheet=get_object_or_404(OldSheet, pk=pk))
        return Response(status=204)


def _sheet(asked: dict[str, Any]) -> tuple[Sheet, str]:
    upload = asked.get("file")
    if upload:
        return read_file(upload.name, upload.read()), upload.name
    return read_pasted(asked["rows"]), ""


def _choices(asked: dict[str, Any]) -> SheetChoices:
    columns = asked.get("columns")
    if columns is not None:
        columns = Columns(**columns | {"stages": tuple(columns.get("stages", ()))})
    return SheetChoices(
        columns=columns,
        uses={one["name"]: _use(one) for one in asked.get("uses", ()) if one["kind"]},
        day_first=asked["day_first"],
        undated=asked.get("undated"),
    )


def _use(one: dict[str, Any]) -> StageUse:
    try:
        return StageUse(kind=one["kind"], stage=one.get("stage"))
    except ValueError as error:
        raise serializers.ValidationError({"uses": f"{one['name']}: {error}"}) from None


def _shown(preview: Preview, loaded: OldSheet | None) -> dict[str, Any]:
    shown = {
        "headers": preview.sheet.headers,
        "columns": preview.columns,
        "uses": [
            {
                "name": name,
                "kind": one.use.kind if one.use else None,
                "stage": one.use.stage if one.use else None,
                "guessed": one.guessed,
            }
            for name, one in preview.suggestions.items()
        ],
        "unsettled": preview.reading.unsettled,
        "day_first": preview.day_first,
        "builds": [_build(build, preview) for build in preview.reading.builds],
        "troubles": map(str, preview.reading.troubles),
        "loadable": preview.loadable,
        "loaded": loaded.pk if loaded else None,
    }
    return dict(OldHoursData(shown).data)


def _build(build: OldBuild, preview: Preview) -> dict[str, Any]:
    fields = ("name", "title", "started", "finished", "batch", "options", "all_minutes")
    shown = {name: getattr(build, name) for name in fields}
    return shown | {
        "in_books": build.name in preview.in_books,
        "troubles": [f"{trouble}" for trouble in build.troubles],
    }
