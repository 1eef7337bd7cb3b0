"""How papers look, in the API: for the owner to choose."""

from django.http import FileResponse
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.paper import FILE_RENDERERS, JPEG
from inventory.base.api.views import ActionView, Serializer
from inventory.base.roles import OWNER_ONLY
from quotes.models import PaperLook
from quotes.papers.queries import paper_look
from quotes.papers.services import remove_logo, set_paper_look


@example("blue headings without serifs", face="sans", accent="#1d4e5f")
class PaperLookData(Serializer):
    """The look of papers for clients: face and colour of names and headings, and a logo."""

    has_logo = serializers.SerializerMethodField(help_text="Whether a logo stands at their head.")

    class Meta:
        model = PaperLook
        fields = ["face", "accent", "has_logo"]

    def get_has_logo(self, look: PaperLook) -> bool:
        return bool(look.logo)


@extend_schema_serializer(
    examples=[
        OpenApiExample("A mark", value={"logo": "mark.png"}, media_type="multipart/form-data")
    ]
)
class LogoAsked(serializers.Serializer):
    """A picture: JPEG, PNG or another that browsers show."""

    logo = serializers.FileField()


@extend_schema(tags=["workshop"])
class PaperLookView(ActionView):
    """How papers look."""

    write_roles = OWNER_ONLY

    @extend_schema(responses=PaperLookData)
    def get(self, request: Request) -> Response:
        """Return the look; papers that were issued keep theirs."""
        return Response(PaperLookData(paper_look()).data)

    @extend_schema(request=PaperLookData, responses=PaperLookData)
    def post(self, request: Request) -> Response:
        """Change what is given; it applies to papers from now on."""
        checked = PaperLookData(data=request.data, partial=True)
        checked.is_valid(raise_exception=True)
        return Response(PaperLookData(set_paper_look(**checked.validated_data)).data)


@extend_schema(tags=["workshop"])
class PaperLogoView(ActionView):
    """The logo at the head of papers."""

    write_roles = OWNER_ONLY
    parser_classes = [MultiPartParser]
    renderer_classes = FILE_RENDERERS

    @extend_schema(responses=JPEG)
    def get(self, request: Request) -> FileResponse:
        """Return the picture; there may be none (404)."""
        if not (logo := paper_look().logo):
            raise NotFound("No logo is set. Upload one first.")
        return FileResponse(logo.open(), content_type="image/jpeg")

    @extend_schema(request={"multipart/form-data": LogoAsked}, responses=PaperLookData)
    def post(self, request: Request) -> Response:
        """Set the logo; it is made small, and the one before goes."""
        upload = validated_body(LogoAsked, request)["logo"]
        return Response(PaperLookData(set_paper_look(logo=upload)).data)


@extend_schema(tags=["workshop"])
class PaperLogoRemoveView(ActionView):
    """No logo any more."""

    write_roles = OWNER_ONLY

    @extend_schema(request=None, responses=PaperLookData)
    def post(self, request: Request) -> Response:
        """Delete the logo."""
        return Response(PaperLookData(remove_logo()).data)
