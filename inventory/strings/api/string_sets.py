"""Sets of strings in the API: written down, worked out, read."""

from decimal import Decimal
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
from inventory.base.api.fields import DecimalField
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ReadViewSet
from inventory.models import KeptAs, Material, StringEnd, StringSet, Workshop
from inventory.strings.calc.string_sets import PlannedString, pull_of
from inventory.strings.documents import MOST_WORDS, print_sleeve, sleeve_of
from inventory.strings.queries import pull_of_set, string_sets
from inventory.strings.services import MOST_OF_A_PITCH, StringChosen, save_string_set

LEAST = Decimal("0.001")
MANDOLIN = [
    {"single": 41, "pitch": "G3", "gauge": "36", "grams_per_metre": "4.27956", "count": 2},
    {"single": 42, "pitch": "E5", "gauge": "10", "count": 2},
]


class StringData(serializers.Serializer):
    """The strings of one pitch. Without a weight they are plain steel."""

    pitch = serializers.CharField(max_length=4, help_text="Such as E5, F#4 or Bb3.")
    gauge = DecimalField(
        max_digits=7,
        decimal_places=3,
        min_value=Decimal(4),
        max_value=Decimal(200),
        help_text="Thousandths of an inch.",
    )
    grams_per_metre = DecimalField(
        max_digits=9,
        decimal_places=5,
        min_value=Decimal("0.00001"),
        required=False,
        allow_null=True,
        default=None,
    )
    count = serializers.IntegerField(min_value=1, max_value=MOST_OF_A_PITCH, default=1)


class NamedStringData(StringData):
    """The strings of one pitch, and the single string that is drawn for them.

    Where nothing is said of its end, what was known of it stays.
    """

    end = serializers.ChoiceField(
        choices=StringEnd.choices, required=False, allow_blank=True, default=""
    )

    single = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.filter(kept_as=KeptAs.COUNT)
    )


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "a pair",
            value={"scale_mm": "350", "strings": [{"pitch": "E5", "gauge": "10", "count": 2}]},
        )
    ]
)
class PullAsked(serializers.Serializer):
    """Strings and a scale length in mm, to be worked out."""

    scale_mm = DecimalField(max_digits=9, decimal_places=3, min_value=LEAST)
    strings = StringData(many=True, allow_empty=False)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "a mandolin's",
            value={
                "material": 40,
                "instrument": "Mandolin",
                "scale_mm": "350",
                "strings": MANDOLIN,
            },
        )
    ]
)
class StringSetAsked(serializers.Serializer):
    """A set of strings: a material kept as a count, and what it is made up of."""

    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.filter(kept_as=KeptAs.COUNT)
    )
    instrument = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")
    scale_mm = DecimalField(max_digits=9, decimal_places=3, min_value=LEAST)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")
    strings = NamedStringData(many=True, allow_empty=False)


def _figure(**given: Any) -> serializers.FloatField:
    return serializers.FloatField(read_only=True, **given)


class StringPullData(serializers.Serializer):
    """A string, and what one of it pulls with at its pitch."""

    pitch = serializers.CharField(source="string.pitch")
    gauge = DecimalField(source="string.gauge", max_digits=7, decimal_places=3)
    grams_per_metre = DecimalField(
        source="string.grams_per_metre", max_digits=9, decimal_places=5, allow_null=True
    )
    count = serializers.IntegerField(source="string.count")
    hertz = _figure()
    newtons = _figure()
    pounds = _figure(help_text="Pounds-force.")
    stress = _figure(allow_null=True, help_text="MPa; plain steel only.")
    may_break = serializers.BooleanField(help_text="Close to the breaking stress of music wire.")


class SetPullData(serializers.Serializer):
    """What strings pull with, one by one and together."""

    strings = StringPullData(many=True)
    newtons = _figure()
    pounds = _figure(help_text="Pounds-force.")


class StringSetData(serializers.Serializer):
    """A set of strings; `recipe` is what it is made up and drawn by."""

    id = serializers.IntegerField(source="pk")
    material = serializers.IntegerField(source="recipe.material_id")
    name = serializers.CharField(source="recipe.material.name")
    recipe = serializers.IntegerField(source="recipe_id")
    instrument = serializers.CharField()
    scale_mm = DecimalField(max_digits=9, decimal_places=3)
    note = serializers.CharField()
    singles = serializers.SerializerMethodField(help_text="Materials, in the order of strings.")
    ends = serializers.SerializerMethodField(help_text="Ball, loop or empty, in the same order.")
    pull = serializers.SerializerMethodField()

    def get_singles(self, row: StringSet) -> list[int]:
        return [string.single_id for string in row.strings.all()]

    def get_ends(self, row: StringSet) -> list[str]:
        return [string.single.end for string in row.strings.all()]

    @extend_schema_field(SetPullData)
    def get_pull(self, row: StringSet) -> Any:
        return SetPullData(pull_of_set(row)).data


class SleeveAsked(serializers.Serializer):
    """For whom a set was made up, and when: today, where no day is given."""

    made_for = serializers.CharField(required=False, allow_blank=True, max_length=MOST_WORDS)
    made_on = serializers.DateField(required=False)


class StringSetViewSet(VersionedMixin, ReadViewSet):
    """Sets of strings, each with what it pulls with."""

    queryset = StringSet.objects.all()
    serializer_class = StringSetData
    http_method_names = ["get", "post", "put", "head", "options"]

    def get_queryset(self) -> QuerySet[StringSet]:
        return string_sets()

    @extend_schema(request=StringSetAsked, responses={201: StringSetData})
    def create(self, request: Request) -> Response:
        """Write down the strings of a material; its recipe follows them."""
        return self._written(request, 201)

    @extend_schema(request=StringSetAsked, responses={200: StringSetData})
    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Replace the strings of a set. Its material stays."""
        with transaction.atomic():
            self._check_version(request)
            return self._written(request, 200, self.get_object().recipe.material)

    @extend_schema(request=PullAsked, responses=SetPullData)
    @action(detail=False, methods=["post"])
    def pull(self, request: Request) -> Response:
        """Work out what strings would pull with; nothing is kept."""
        asked = validated_body(PullAsked, request)
        pull = pull_of([PlannedString(**one) for one in asked["strings"]], asked["scale_mm"])
        return Response(SetPullData(pull).data)

    @extend_schema(parameters=[SleeveAsked], responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def sleeve(self, request: Request, pk: str) -> Response:
        """Return the sleeve of the set, to cut out and fold (PDF)."""
        asked = SleeveAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        given = {"made_on": timezone.localdate(), **asked.validated_data}
        printed = print_sleeve(sleeve_of(self.get_object(), **given), Workshop.objects.first())
        return Response(printed, content_type="application/pdf")

    def _written(self, request: Request, status: int, material: Material | None = None) -> Response:
        asked = validated_body(StringSetAsked, request)
        if material is not None and asked["material"] != material:
            raise serializers.ValidationError({"material": f"This is the set of {material}."})
        strings = [
            StringChosen(
                material=one.pop("single"), end=one.pop("end"), string=PlannedString(**one)
            )
            for one in asked.pop("strings")
        ]
        row = save_string_set(strings=strings, **asked)
        shown = StringSetData(self.get_queryset().get(pk=row.pk)).data
        return Response(shown, status=status, headers={"ETag": etag_of(shown)})
