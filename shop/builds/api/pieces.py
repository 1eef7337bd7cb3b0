"""Which piece for a line, in the API: the best first, and why the rest would not do."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from inventory.base.refusals import Refusal
from inventory.models import Material, TakeFirst
from shop.builds.api.build_data import LineData, quantity_field
from shop.builds.queries.needs import needs_of
from shop.builds.services.stock import assign_material
from shop.models import BuildLine, TemplateLine
from shop.pieces.queries import shelf_of, stand_ins

MOST_LISTED = 200


class ProposalsAsked(serializers.Serializer):
    """How many pieces are wanted, and which of several that would do comes first."""

    wanted = serializers.IntegerField(min_value=1, max_value=100, default=1)
    first = serializers.ChoiceField(
        choices=TakeFirst.choices, required=False, help_text="Default: the workshop's setting."
    )


class CandidateData(serializers.Serializer):
    """A piece that was looked at; sizes are those of one part in mm."""

    number = serializers.CharField(source="lot.number")
    material = serializers.IntegerField(source="lot.material_id")
    reason = serializers.CharField(help_text="Why it is suitable, or why not.")
    state = serializers.CharField(source="piece.state")
    parts = serializers.IntegerField(source="piece.parts")
    length_mm = quantity_field(source="piece.length_mm", allow_null=True)
    width_mm = quantity_field(source="piece.width_mm", allow_null=True)
    thickness_mm = quantity_field(source="piece.thickness_mm", allow_null=True)
    mass_g = quantity_field(source="piece.mass_g", allow_null=True)
    place = serializers.CharField(source="lot.place.name", default=None, allow_null=True)
    cost = DecimalField(source="lot.remaining_cost", max_digits=18, decimal_places=3)


class SoughtData(serializers.Serializer):
    """What the line asks of a piece; sizes in mm are the least of one part."""

    wood = serializers.CharField(help_text="Kinds separated by commas; empty: any.")
    length_mm = quantity_field(allow_null=True)
    width_mm = quantity_field(allow_null=True)
    thickness_mm = quantity_field(allow_null=True)
    parts = serializers.IntegerField(allow_null=True)


class CandidatesData(serializers.Serializer):
    """The pieces on the shelf for a line, each list in order and of 200 at most.

    `passed_over` would not do. The last two are of other materials of the family and large enough:
    any piece may be reserved in place of what is planned.
    """

    sought = SoughtData()
    first = serializers.ChoiceField(choices=TakeFirst.choices)
    proposed = CandidateData(many=True)
    others = CandidateData(many=True)
    passed_over = CandidateData(many=True)
    of_like_wood = CandidateData(many=True)
    of_other_wood = CandidateData(many=True)


class BuildLineProposalsView(ActionView):
    """The best pieces for a line of a build."""

    @extend_schema(parameters=[ProposalsAsked], responses=CandidatesData)
    def get(self, request: Request, pk: int) -> Response:
        """Propose pieces for the line; refused where its material isn't kept as pieces."""
        rows = BuildLine.objects.select_related("material", "template_line")
        line = get_object_or_404(rows, pk=pk)
        return proposals(request, line.template_line, line.material)


@example("the shop's own wire", material=12)
class LineMaterialAsked(serializers.Serializer):
    """The material of the shop that a line means; kept in the same kind of unit."""

    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())


class LineMaterialView(ActionView):
    """Which material of the shop a line of a build means."""

    @extend_schema(request=LineMaterialAsked, responses=LineData)
    def post(self, request: Request, pk: int) -> Response:
        """Name the material of a line, so that it can be reserved and drawn."""
        rows = BuildLine.objects.select_related("build", "template_line")
        line = assign_material(
            line=get_object_or_404(rows, pk=pk), **validated_body(LineMaterialAsked, request)
        )
        needs = {need.line.pk: need for need in needs_of([line.build])}
        return Response(LineData(line, context={"needs": needs}).data)


class TemplateLineProposalsView(ActionView):
    """The best pieces for a line of a template."""

    @extend_schema(parameters=[ProposalsAsked], responses=CandidatesData)
    def get(self, request: Request, pk: int) -> Response:
        """Propose pieces for the line; refused where its material isn't kept as pieces."""
        line = get_object_or_404(TemplateLine.objects.select_related("material"), pk=pk)
        return proposals(request, line, line.material)


def proposals(
    request: Request, line: TemplateLine | None, material: Material | None, holder: str = ""
) -> Response:
    """Answer with the candidates for `line`; what is reserved for `holder` counts as available."""
    asked = ProposalsAsked(data=request.query_params)
    asked.is_valid(raise_exception=True)
    given = asked.validated_data
    if material is None or not material.is_piece:
        raise Refusal("This line has no material kept as pieces.", field="material")
    on = timezone.localdate()
    shelf = shelf_of([material], on=on, holder=holder)
    found = shelf.candidates(line, material, given["wanted"], given.get("first"))
    names = ("proposed", "others", "passed_over")
    lists = {name: getattr(found, name)[:MOST_LISTED] for name in names}
    others = stand_ins(line, material, on=on, first=found.first, holder=holder)
    body = {
        "sought": found.sought,
        "first": found.first,
        "of_like_wood": others.like_wood[:MOST_LISTED],
        "of_other_wood": others.other_wood[:MOST_LISTED],
        **lists,
    }
    return Response(CandidatesData(body).data)
