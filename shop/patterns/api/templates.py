"""Build templates in the API: patterns, their options, stages and lines."""

from typing import Any

from django.db.models import ProtectedError, QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.views import EditViewSet
from inventory.base.refusals import Refusal
from shop.models import (
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateSpec,
    TemplateStage,
)
from shop.patterns.api import template_data as data
from shop.patterns.queries import template_rows
from shop.patterns.services.stocking import make_materials, unmake_materials
from shop.patterns.services.templates import adopt_template, copy_template

TAGS = ["templates"]


@extend_schema(tags=TAGS)
class TemplateViewSet(EditViewSet):
    """Instrument patterns."""

    queryset = BuildTemplate.objects.all()
    filterset_fields = ["is_archived", "is_starter"]
    search_fields = ["name"]

    def get_queryset(self) -> QuerySet[BuildTemplate]:
        rows = template_rows()
        if self.action == "list":
            return rows
        return rows.prefetch_related("options", "stages", "lines", "specs")

    def get_serializer_class(self) -> type[serializers.Serializer]:
        return data.TemplateData if self.action == "list" else data.FullTemplateData

    def perform_create(self, serializer: serializers.BaseSerializer[Any]) -> None:
        made = serializer.save()
        serializer.instance = self.get_queryset().get(pk=made.pk)

    def perform_destroy(self, instance: BuildTemplate) -> None:
        try:
            instance.delete()
        except ProtectedError:
            raise Refusal(
                f"{instance} has builds or quotes. Archive it instead: set is_archived."
            ) from None

    @extend_schema(request=data.TemplateCopyAsked, responses={201: data.FullTemplateData})
    @action(detail=True, methods=["post"])
    def copy(self, request: Request, pk: str) -> Response:
        """Copy the pattern with everything in it under a new name."""
        name = validated_body(data.TemplateCopyAsked, request)["name"]
        made = copy_template(template=self.get_object(), name=name)
        return Response(self.get_serializer(self.get_queryset().get(pk=made.pk)).data, status=201)

    @extend_schema(request=None, responses={201: data.StockedData})
    @action(detail=True, methods=["post"], url_path="make-materials")
    def make_materials(self, request: Request, pk: str) -> Response:
        """Make materials of the shop from the lines that name none, or use those of their name.

        Prices are seeds, not checked. Nothing is put on the shelf.
        """
        done = make_materials(template=self.get_object(), on=timezone.localdate())
        return Response(data.StockedData(done).data, status=201)

    @extend_schema(request=None, responses=data.FullTemplateData)
    @action(detail=True, methods=["post"])
    def adopt(self, request: Request, pk: str) -> Response:
        """Take a starter over: its figures count as the shop's own from now on."""
        adopt_template(template=self.get_object())
        return Response(self.get_serializer(self.get_queryset().get(pk=pk)).data)

    @extend_schema(request=data.UnstockAsked, responses={204: None})
    @action(detail=True, methods=["post"], url_path="unmake-materials")
    def unmake_materials(self, request: Request, pk: str) -> Response:
        """Undo `make-materials`, with the keys that it answered; refused once one is in use."""
        asked = validated_body(data.UnstockAsked, request)
        unmake_materials(template=self.get_object(), **asked)
        return Response(status=204)


@extend_schema(tags=TAGS)
class TemplateOptionViewSet(EditViewSet):
    """Options of patterns."""

    queryset = TemplateOption.objects.all()
    serializer_class = data.OptionData
    filterset_fields = ["template"]


@extend_schema(tags=TAGS)
class TemplateStageViewSet(EditViewSet):
    """Stages of patterns, in the order of the work."""

    queryset = TemplateStage.objects.order_by("template", "position", "pk")
    serializer_class = data.TemplateStageData
    filterset_fields = ["template", "option"]


@extend_schema(tags=TAGS)
class TemplateLineViewSet(EditViewSet):
    """Materials of patterns."""

    queryset = TemplateLine.objects.order_by("template", "position", "pk")
    serializer_class = data.TemplateLineData
    filterset_fields = ["template", "material", "option", "stage"]


@extend_schema(tags=TAGS)
class TemplateSpecViewSet(EditViewSet):
    """Rows of the specifications of patterns."""

    queryset = TemplateSpec.objects.order_by("template", "position", "pk")
    serializer_class = data.TemplateSpecData
    filterset_fields = ["template", "option"]


@extend_schema(tags=TAGS)
class TemplateFailureViewSet(EditViewSet):
    """What may go wrong in the stages of patterns."""

    queryset = TemplateFailure.objects.order_by("stage__template", "stage__position", "pk")
    serializer_class = data.TemplateFailureData
    filterset_fields = ["stage", "stage__template"]

    def get_queryset(self) -> QuerySet[TemplateFailure]:
        rows: QuerySet[TemplateFailure] = super().get_queryset()
        return rows.prefetch_related("lost")
