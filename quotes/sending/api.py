"""Mail to clients in the API."""

from typing import Any
from uuid import uuid4

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.addresses import opens_outside
from inventory.base.api.asking import validated_body
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ReadViewSet, Serializer
from inventory.base.roles import BOOK_ROLES
from quotes.models import SentMail
from quotes.sending.documents import SENDABLE, link_address
from quotes.sending.refusals import NoOutsideAddress
from quotes.sending.services import Asked, mark_mail_sent, send_paper


class MailData(Serializer):
    """A mail to a client: what was sent, when and to whom."""

    class Meta:
        model = SentMail
        fields = [
            "id", "client", "commission", "quote", "change", "invoice", "payment", "link", "state",
            "sent_to", "subject", "words", "paper", "document_sha256", "made_at", "sent_at",
            "why_not",
        ]  # fmt: skip
        read_only_fields = fields


class MailAsked(serializers.Serializer):
    """What to send: its kind and key; what is left out is written as the page would propose."""

    kind = serializers.ChoiceField(choices=sorted(SENDABLE))
    row = serializers.IntegerField(
        min_value=1, help_text="The key of the quote, invoice and so on."
    )
    sent_to = serializers.EmailField(required=False)
    subject = serializers.CharField(required=False, max_length=200)
    words = serializers.CharField(required=False, max_length=5000)
    link_until = serializers.DateField(
        required=False, allow_null=True, help_text="The last day of a new link; empty: no link."
    )

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        row = SENDABLE[asked["kind"]][0].filter(pk=asked.pop("row")).first()
        if row is None:
            raise serializers.ValidationError({"row": f"There is no such {asked['kind']}."})
        return asked | {"row": row}


MAIL_EXAMPLE = OpenApiExample("an invoice", value={"kind": "invoice", "row": 3}, request_only=True)


@extend_schema(tags=["clients"])
class MailViewSet(ReadViewSet):
    """Mail to clients, the newest first."""

    queryset = SentMail.objects.all()
    serializer_class = MailData
    write_roles = BOOK_ROLES
    filterset_fields = ["client", "commission", "quote", "change", "invoice", "payment", "state"]
    search_fields = ["subject", "sent_to", "paper"]
    ordering_fields = ["made_at", "sent_at"]

    @extend_schema(request=MailAsked, responses={201: MailData}, examples=[MAIL_EXAMPLE])
    def create(self, request: Request) -> Response:
        """Send a paper through the mail account; `state` says whether its server took it."""
        asked = validated_body(MailAsked, request)
        now = timezone.now()
        on = timezone.localdate(now)
        outgoing = SENDABLE[asked["kind"]][1](asked["row"], on)
        link_until = asked.get("link_until")
        if link_until and not opens_outside(request):
            raise NoOutsideAddress
        sent_to = asked.get("sent_to") or outgoing.client.email
        if not sent_to:
            raise serializers.ValidationError(
                {"sent_to": f"{outgoing.client} has no email address. Give one."}
            )
        mail = send_paper(
            outgoing=outgoing,
            asked=Asked(
                key=uuid4(),
                sent_to=sent_to,
                subject=asked.get("subject", outgoing.words.subject),
                words=asked.get("words", outgoing.words.text),
                link_until=link_until,
                address_of=link_address(request),
            ),
            on=on,
            now=now,
            user=request.user,
        )
        return Response(MailData(mail).data, status=201)

    @extend_schema(request=None, responses=MailData)
    @action(detail=True, methods=["post"])
    def sent(self, request: Request, pk: int) -> Response:
        """Record that a draft was sent by hand."""
        return Response(MailData(mark_mail_sent(mail=self.get_object(), now=timezone.now())).data)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def document(self, request: Request, pk: int) -> Response:
        """Return the paper that went with it."""
        with self.get_object().document.open() as kept:
            return Response(kept.read(), content_type="application/pdf")
