"""Made-up stock in the API: recipes, what they still make, and making them up."""

from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
)
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.etags import VersionedMixin, etag_of
from inventory.base.api.fields import LEAST, DecimalField, HolderField, quantity_field
from inventory.base.api.views import ReadViewSet, Serializer
from inventory.base.refusals import Refusal
from inventory.kits.queries import parts_replacement_cost, recipes, still_makeable
from inventory.kits.services import draw_kit, make_kit, save_recipe
from inventory.models import KeptAs, Lot, Material, Recipe, RecipePart
from inventory.shelf.api.entries import entries_answer
from inventory.shelf.api.rows import LotSerializer

MOST_PARTS = 40


class PartAsked(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    quantity = quantity_field(min_value=LEAST, help_text="In base units, for one kit.")


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A wiring kit",
            value={
                "material": 31,
                "parts": [{"material": 17, "quantity": "2"}, {"material": 18, "quantity": "800"}],
            },
        )
    ]
)
class RecipeAsked(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.exclude(kept_as=KeptAs.PIECE)
    )
    parts = PartAsked(many=True, allow_empty=False)

    def validate_parts(self, parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len(parts) > MOST_PARTS:
            raise serializers.ValidationError(f"A kit has at most {MOST_PARTS} parts.")
        return parts


@extend_schema_serializer(examples=[OpenApiExample("Five sets", value={"quantity": "5"})])
class MakeUp(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST)
    holder = HolderField(
        required=False,
        allow_blank=True,
        default="",
        help_text="Leave empty to add the kits to stock.",
    )


class RecipePartSerializer(Serializer):
    class Meta:
        model = RecipePart
        fields = ["material", "quantity"]


class AllowedSerializer(serializers.Serializer):
    """A part of a recipe, and how many it alone would allow."""

    name = serializers.CharField()
    count = serializers.IntegerField()


class RecipeSerializer(Serializer):
    """A recipe; quantities of its parts in base units, for one."""

    parts = RecipePartSerializer(many=True, read_only=True)
    makeable = serializers.SerializerMethodField(
        help_text="How many kits the available parts make."
    )
    limited_by = serializers.SerializerMethodField(help_text="The parts that run out first.")
    allowed = serializers.SerializerMethodField()
    cost = serializers.SerializerMethodField(help_text="Replacement price of the parts of one kit.")

    class Meta:
        model = Recipe
        fields = ["id", "material", "note", "parts", "makeable", "limited_by", "allowed", "cost"]

    def get_makeable(self, row: Recipe) -> int:
        return still_makeable(row).count

    def get_limited_by(self, row: Recipe) -> list[str]:
        return list(still_makeable(row).limited_by)

    @extend_schema_field(AllowedSerializer(many=True))
    def get_allowed(self, row: Recipe) -> list[dict[str, Any]]:
        return [{"name": name, "count": count} for name, count in still_makeable(row).allowed]

    @extend_schema_field(DecimalField(max_digits=18, decimal_places=3))
    def get_cost(self, row: Recipe) -> str:
        return f"{parts_replacement_cost(row):.3f}"


class RecipeViewSet(VersionedMixin, ReadViewSet):
    """Kits: their parts, how many can be made, and what limits that."""

    queryset = Recipe.objects.all()
    serializer_class = RecipeSerializer
    http_method_names = ["get", "post", "put", "head", "options"]

    def get_queryset(self) -> QuerySet[Recipe]:
        return recipes().order_by("material__name")

    @extend_schema(request=RecipeAsked, responses={201: RecipeSerializer})
    def create(self, request: Request) -> Response:
        """Write down what a material is made up of."""
        return self._written(validated_body(RecipeAsked, request), 201)

    @extend_schema(request=RecipeAsked, responses={200: RecipeSerializer})
    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Replace the parts of a recipe. A set of strings is changed as a set of strings."""
        with transaction.atomic():
            self._check_version(request)
            row = self.get_object()
            asked = validated_body(RecipeAsked, request)
            if asked["material"] != row.material:
                sentence = f"This kit is {row.material}."
                raise serializers.ValidationError({"material": sentence})
            if hasattr(row, "string_set"):
                raise Refusal(f"{row.material} is a string set: edit its strings.")
            return self._written(asked, 200)

    @extend_schema(request=MakeUp, responses={201: LotSerializer})
    @action(detail=True, methods=["post"])
    def make(self, request: Request, pk: str) -> Response:
        """Make some up onto the shelf, or draw the parts straight for a holder."""
        data = validated_body(MakeUp, request)
        asked = {"recipe": self.get_object(), "now": timezone.now(), "user": request.user, **data}
        if data["holder"]:
            entries = draw_kit(**asked)
            return entries_answer(entries)
        del asked["holder"]
        lot = Lot.objects.get(pk=make_kit(**asked).pk)
        return Response(LotSerializer(lot).data, status=201)

    def _written(self, asked: dict[str, Any], status: int) -> Response:
        parts = [(part["material"], part["quantity"]) for part in asked["parts"]]
        row = save_recipe(material=asked["material"], parts=parts)
        shown = RecipeSerializer(self.get_queryset().get(pk=row.pk)).data
        return Response(shown, status=status, headers={"ETag": etag_of(shown)})
