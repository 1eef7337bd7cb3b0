"""Clients' links, what clients said there, and the record of it."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.addresses import outside_address
from inventory.base.api.asking import validated_body
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ReadViewSet, Serializer
from inventory.base.refusals import Refusal
from quotes.client_page.documents import acceptance_pdf
from quotes.client_page.services.links import create_link
from quotes.links.services import mark_message_seen, withdraw_link
from quotes.models import Change, ClientLink, ClientMessage, Decision, Quote


class LinkData(Serializer):
    """A link to a client's page of a quote or change order; its address is shown only once."""

    class Meta:
        model = ClientLink
        fields = [
            "id", "quote", "change", "made_at", "expires_on", "withdrawn_at", "opened_at",
            "seen_at",
        ]  # fmt: skip
        read_only_fields = fields


class LinkAsked(serializers.Serializer):
    """The quote or the change to show, and the last day of the link."""

    quote = serializers.PrimaryKeyRelatedField(queryset=Quote.objects.all(), required=False)
    change = serializers.PrimaryKeyRelatedField(
        queryset=Change.objects.select_related("quote"), required=False
    )
    expires_on = serializers.DateField()

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if ("change" in asked) == ("quote" in asked):
            raise serializers.ValidationError("Give a quote or a change order.")
        return asked if "quote" in asked else asked | {"quote": asked["change"].quote}


class NewLinkData(LinkData):
    """A link that was made just now, with its address."""

    address = serializers.CharField(read_only=True, help_text="Empty when the request is repeated.")

    class Meta(LinkData.Meta):
        fields = [*LinkData.Meta.fields, "address"]
        read_only_fields = fields


class MessageData(Serializer):
    """What a client said, until the maker has seen it."""

    class Meta:
        model = ClientMessage
        fields = ["id", "quote", "change", "about", "name", "words", "said_at", "seen_at"]
        read_only_fields = fields


class DecisionData(Serializer):
    """A client's yes or no to a version of a quote, or to a change, and the hash of its paper."""

    number = serializers.CharField(source="quote.number", read_only=True)
    version = serializers.IntegerField(source="quote.version", read_only=True)

    class Meta:
        model = Decision
        fields = [
            "id", "quote", "number", "version", "change", "said", "name", "dated", "words",
            "decided_at", "document_sha256",
        ]  # fmt: skip
        read_only_fields = fields


LINK_EXAMPLE = OpenApiExample(
    "to the end of April", value={"quote": 1, "expires_on": "2027-04-30"}, request_only=True
)


@extend_schema(tags=["clients"])
class ClientLinkViewSet(ReadViewSet):
    """Links to clients' pages."""

    queryset = ClientLink.objects.all()
    serializer_class = LinkData
    filterset_fields = ["quote", "change"]
    ordering_fields = ["made_at"]
    told_once = ""

    @extend_schema(request=LinkAsked, responses={201: NewLinkData}, examples=[LINK_EXAMPLE])
    def create(self, request: Request) -> Response:
        """Make a link. Its address is in this answer only: an answer that is repeated has none."""
        asked = validated_body(LinkAsked, request)
        now = timezone.now()
        made = create_link(**asked, on=timezone.localdate(now), now=now)
        page = "offer_change" if made.link.change_id else "offer"
        self.told_once = outside_address(request, reverse(page, args=[made.secret]))
        return Response(LinkData(made.link).data | {"address": ""}, status=201)

    def finalize_response(
        self, request: Request, response: Response, *args: Any, **kwargs: Any
    ) -> Response:
        """Put the address in, after the answer was kept without it."""
        if self.told_once:
            response.data["address"] = self.told_once
        final: Response = super().finalize_response(request, response, *args, **kwargs)
        return final

    @extend_schema(request=None, responses=LinkData)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: int) -> Response:
        """Withdraw the link; a second time changes nothing."""
        return Response(LinkData(withdraw_link(link=self.get_object(), now=timezone.now())).data)


@extend_schema(tags=["clients"])
class ClientMessageViewSet(ReadViewSet):
    """What clients said on their pages and the maker has to see."""

    queryset = ClientMessage.objects.all()
    serializer_class = MessageData
    filterset_fields = {
        "quote": ["exact"],
        "change": ["exact"],
        "about": ["exact"],
        "seen_at": ["isnull"],
    }
    ordering_fields = ["said_at"]

    @extend_schema(request=None, responses=MessageData)
    @action(detail=True, methods=["post"])
    def seen(self, request: Request, pk: int) -> Response:
        """Mark the message as seen."""
        seen = mark_message_seen(message=self.get_object(), now=timezone.now())
        return Response(MessageData(seen).data)


@extend_schema(tags=["clients"])
class DecisionViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet):
    """What clients decided by their links."""

    queryset = Decision.objects.select_related("quote", "change")
    serializer_class = DecisionData
    filterset_fields = ["quote", "change", "said"]
    ordering_fields = ["decided_at"]

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def document(self, request: Request, pk: int) -> Response:
        """Return the record of a yes (PDF)."""
        decision = self.get_object()
        if decision.said != Decision.Said.YES:
            raise Refusal("Only an acceptance has a record to print.")
        return Response(acceptance_pdf(decision), content_type="application/pdf")
