"""Devices in the API: paired by a code, greeted, listed, cut off; and the units they show."""

from typing import Any

from django.db.models import QuerySet, Subquery
from django.utils import timezone
from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    extend_schema,
    extend_schema_view,
)
from rest_framework import mixins, serializers
from rest_framework.exceptions import PermissionDenied
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.base.api.asking import validated_body
from inventory.base.api.device_time import DEVICE_TIME, device_time
from inventory.base.api.examples import example
from inventory.base.api.views import ActionView, ReadViewSet
from inventory.base.roles import OWNER, ROLES, role_of
from inventory.models import Workshop
from shop.base.calc import written
from shop.devices.services import (
    make_pairing_code,
    pair_device,
    record_device_contact,
    revoke_token,
)
from shop.models import Device, Preference
from shop.workshop.queries import units_of
from shop.workshop.services import choose_units

TAGS = ["devices"]


class DeviceData(serializers.ModelSerializer):
    """A device that may talk to the API."""

    user = serializers.IntegerField(source="token.user_id", help_text="Whose it is, by key.")
    user_name = serializers.CharField(source="token.user.username", help_text="Whose it is.")

    class Meta:
        model = Device
        fields = [
            "id", "name", "user", "user_name", "rights", "last_seen_at", "skew_seconds", "version",
        ]  # fmt: skip
        read_only_fields = fields


class PairAsked(serializers.Serializer):
    """The code that the desk shows."""

    code = serializers.CharField(max_length=20)


class PairedData(serializers.Serializer):
    """The device and its token, which is shown only once."""

    device = DeviceData()
    token = serializers.CharField()


@example("a phone", name="bench phone")
class CodeAsked(serializers.Serializer):
    """What the new device is called."""

    name = serializers.CharField(max_length=60)


class CodeData(serializers.Serializer):
    """A pairing code, and until when it works."""

    name = serializers.CharField()
    code = serializers.CharField(help_text="To be typed on the device, or sent to `pair/`.")
    expires_at = serializers.DateTimeField()


@example("a phone", version="1.4.0")
class HelloAsked(serializers.Serializer):
    """What the device has to say of itself."""

    version = serializers.CharField(required=False, allow_blank=True, default="", max_length=20)


class WorkshopData(serializers.ModelSerializer):
    """What a device shows of the workshop."""

    class Meta:
        model = Workshop
        fields = ["name", "maker", "units", "time_zone", "currency"]


@example("inches", units="imperial")
class UnitsData(serializers.ModelSerializer):
    """The units in which I see wood measured; empty: the workshop's. The API speaks of mm."""

    class Meta:
        model = Preference
        fields = ["units"]
        extra_kwargs = {"units": {"required": True}}


class HelloData(serializers.Serializer):
    """Who is signed in on the device."""

    now = serializers.DateTimeField()
    user = serializers.IntegerField()
    user_name = serializers.CharField()
    role = serializers.CharField()
    device = DeviceData(allow_null=True)
    workshop = WorkshopData(allow_null=True)


class PairView(APIView):
    """Pair a device."""

    authentication_classes: list[Any] = []
    permission_classes = [AllowAny]

    @extend_schema(
        tags=TAGS,
        auth=[],
        request=PairAsked,
        responses={201: PairedData},
        examples=[OpenApiExample("a code", value={"code": "7K4Q-2MXD"}, request_only=True)],
    )
    def post(self, request: Request) -> Response:
        """Trade the code that the desk shows for a token. A code works once."""
        asked = validated_body(PairAsked, request)
        device, token = pair_device(code=asked["code"], now=timezone.now())
        answer = Response({"device": DeviceData(device).data, "token": token}, status=201)
        answer["Cache-Control"] = "no-store"
        return answer


class CodeView(ActionView):
    """A code for a new device."""

    write_roles = frozenset(ROLES)

    @extend_schema(tags=TAGS, request=CodeAsked, responses={201: CodeData})
    def post(self, request: Request) -> Response:
        """Make a code that a new device trades for a token with the rights of the bench.

        It works once, within ten minutes; codes that you made before stop working.
        """
        name = validated_body(CodeAsked, request)["name"]
        row, code = make_pairing_code(user=request.user, name=name, now=timezone.now())
        shown = {"name": row.name, "code": written(code), "expires_at": row.expires_at}
        answer = Response(CodeData(shown).data, status=201)
        answer["Cache-Control"] = "no-store"
        return answer


class HelloView(ActionView):
    """Greet the server."""

    write_roles = frozenset(ROLES)

    @extend_schema(tags=TAGS, parameters=[DEVICE_TIME], request=HelloAsked, responses=HelloData)
    def post(self, request: Request) -> Response:
        """Say that this device is here; the answer says for whom it speaks."""
        asked = validated_body(HelloAsked, request)
        now = timezone.now()
        device = Device.objects.filter(token=request.auth).first() if request.auth else None
        if device is not None:
            record_device_contact(device=device, now=now, sent=device_time(request), **asked)
        user: Any = request.user
        hello = {
            "now": now,
            "user": user.pk,
            "user_name": user.get_full_name() or user.get_username(),
            "role": role_of(user),
            "device": device,
            "workshop": _workshop_for(user.pk),
        }
        return Response(HelloData(hello).data)


class UnitsView(ActionView):
    """My units."""

    write_roles = frozenset(ROLES)

    @extend_schema(tags=TAGS, request=UnitsData, responses=UnitsData)
    def post(self, request: Request) -> Response:
        """Choose the units in which my pages and devices show wood."""
        asked = validated_body(UnitsData, request)
        return Response(UnitsData(choose_units(person=request.user, **asked)).data)


EVERYBODY = OpenApiParameter(
    "everybody", bool, description="For owners: devices of everybody, not only mine."
)


@extend_schema(tags=TAGS)
@extend_schema_view(list=extend_schema(parameters=[EVERYBODY]))
class DeviceViewSet(mixins.DestroyModelMixin, ReadViewSet):
    """My devices; deleting one cuts it off. An owner reads and cuts off anybody's."""

    queryset = Device.objects.select_related("token__user").order_by("name", "pk")
    serializer_class = DeviceData
    write_roles = frozenset(ROLES)

    also_asked = frozenset({"everybody"})

    def get_queryset(self) -> QuerySet[Device]:
        rows = super().get_queryset()
        if self._asks_for_everybody():
            return rows
        return rows.filter(token__user=self.request.user.pk)

    def _asks_for_everybody(self) -> bool:
        is_owner = role_of(self.request.user) == OWNER
        if self.action != "list":
            return is_owner
        asked = self.request.query_params.get("everybody", "false")
        wanted: bool = serializers.BooleanField(label="everybody").run_validation(asked)
        if wanted and not is_owner:
            raise PermissionDenied("Only an owner sees the devices of others.")
        return wanted

    def perform_destroy(self, instance: Device) -> None:
        by = self.request.user.get_username()
        revoke_token(token=instance.token, now=timezone.now(), by=by)


def _workshop_for(person: int) -> Workshop | None:
    """Return the workshop with the units that a person sees."""
    workshop = Workshop.objects.annotate(own_units=Subquery(units_of(person))).first()
    if workshop and workshop.own_units:
        workshop.units = workshop.own_units
    return workshop
