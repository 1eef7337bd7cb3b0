"""Made-up stock in the API: recipes, what they still make, and making them up."""

from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import deep_asked, deep_serializers, happenings
from inventory.api.serializers import LotSerializer
from inventory.models import Lot, Recipe
from inventory.queries.recipes import recipes
from inventory.refusals import Refusal
from inventory.rest.asking import asked_of
from inventory.rest.etags import VersionedMixin, etag_of
from inventory.rest.views import ReadViewSet
from inventory.services.draw_made_up import draw_made_up
from inventory.services.make_up import make_up
from inventory.services.write_recipe import write_recipe


class RecipeViewSet(VersionedMixin, ReadViewSet):
    """What is made up here, of what, how many can still be made, and what limits it."""

    queryset = Recipe.objects.all()
    serializer_class = deep_serializers.RecipeSerializer
    http_method_names = ["get", "post", "put", "head", "options"]

    def get_queryset(self) -> QuerySet[Recipe]:
        return recipes().order_by("material__name")

    @extend_schema(
        request=deep_asked.RecipeAsked, responses={201: deep_serializers.RecipeSerializer}
    )
    def create(self, request: Request) -> Response:
        """Write down what a material is made up of."""
        return self._written(asked_of(deep_asked.RecipeAsked, request), 201)

    @extend_schema(
        request=deep_asked.RecipeAsked, responses={200: deep_serializers.RecipeSerializer}
    )
    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Replace the parts of a recipe. A set of strings is changed as a set of strings."""
        with transaction.atomic():
            self._check_version(request)
            row = self.get_object()
            asked = asked_of(deep_asked.RecipeAsked, request)
            if asked["material"] != row.material:
                sentence = f"This is the recipe of {row.material}."
                raise serializers.ValidationError({"material": sentence})
            if hasattr(row, "string_set"):
                raise Refusal(f"{row.material} is a set of strings: change its strings.")
            return self._written(asked, 200)

    @extend_schema(request=deep_asked.MakeUp, responses={201: LotSerializer})
    @action(detail=True, methods=["post"])
    def make(self, request: Request, pk: str) -> Response:
        """Make some up onto the shelf, or draw the parts straight for a holder."""
        data = asked_of(deep_asked.MakeUp, request)
        asked = {"recipe": self.get_object(), "now": timezone.now(), "user": request.user, **data}
        if data["holder"]:
            entries = draw_made_up(**asked)
            return Response(happenings.EntrySerializer(entries, many=True).data, status=201)
        del asked["holder"]
        lot = Lot.objects.get(pk=make_up(**asked).pk)
        return Response(LotSerializer(lot).data, status=201)

    def _written(self, asked: dict[str, Any], status: int) -> Response:
        parts = [(part["material"], part["quantity"]) for part in asked["parts"]]
        row = write_recipe(material=asked["material"], parts=parts)
        shown = deep_serializers.RecipeSerializer(self.get_queryset().get(pk=row.pk)).data
        return Response(shown, status=status, headers={"ETag": etag_of(shown)})
