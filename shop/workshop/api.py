"""The workshop in the API: whose it is, its week, its days off."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_view
from rest_framework import generics, serializers
from rest_framework.generics import get_object_or_404

from inventory.base.api.etags import VersionedMixin
from inventory.base.api.views import EditViewSet, Serializer
from inventory.base.calc.official_numbers import check_tax_number
from inventory.base.calc.public_address import read_public_address
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER_ONLY
from inventory.models import Workshop
from shop.base.choices import Choices, countries, currencies, time_zones
from shop.models import DayOff, WorkingWeek
from shop.workshop.calc import check_days_off
from shop.workshop.queries import working_week

TAGS = ["workshop"]
EDITED = ["get", "patch", "head", "options"]


class WorkshopDetailsData(Serializer):
    """The workshop's name, addresses, currency and units."""

    class Meta:
        model = Workshop
        fields = [
            "name", "maker", "address", "email", "phone", "public_address", "country",
            "time_zone", "currency", "units", "tax_registered", "tax_number",
        ]  # fmt: skip

    def validate_currency(self, code: str) -> str:
        return _known(code.upper(), currencies(), "an ISO 4217 code, such as EUR")

    def validate_country(self, code: str) -> str:
        return _known(code.upper(), [("", ""), *countries()], "an ISO 3166 code, such as NL")

    def validate_time_zone(self, name: str) -> str:
        return _known(name, time_zones(), "an IANA name, such as Europe/Amsterdam")

    def validate_public_address(self, written: str) -> str:
        try:
            return read_public_address(written)
        except Refusal as refusal:
            raise serializers.ValidationError(refusal.sentence) from None

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        number = asked.get("tax_number", getattr(self.instance, "tax_number", ""))
        if number and asked.keys() & {"tax_number", "country"}:
            country = asked.get("country", getattr(self.instance, "country", ""))
            try:
                check_tax_number(number, country)
            except Refusal as refusal:
                raise serializers.ValidationError({"tax_number": refusal.sentence}) from None
        return asked


def _known(code: str, choices: Choices, words: str) -> str:
    if code not in {known for known, _ in choices}:
        raise serializers.ValidationError(f"“{code}” is not known. Send {words}.")
    return code


class WorkingWeekData(Serializer):
    """Hands-on hours of each weekday, and when the working day ends."""

    class Meta:
        model = WorkingWeek
        fields = [
            "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
            "day_ends_at",
        ]  # fmt: skip
        extra_kwargs = {
            name: {
                "min_value": 0,
                "max_value": 24,
                "help_text": "In decimal hours: 7.75 is 7 h 45 min.",
            }
            for name in fields[:7]
        }


class DayOffData(Serializer):
    """A stretch of days on which nobody works, its first and last included."""

    class Meta:
        model = DayOff
        fields = ["id", "first", "last", "reason"]

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        first = asked.get("first", getattr(self.instance, "first", None))
        last = asked.get("last", getattr(self.instance, "last", None))
        try:
            check_days_off(first, last)
        except Refusal as refusal:
            raise serializers.ValidationError({refusal.field: refusal.sentence}) from None
        return asked


@extend_schema(tags=TAGS)
class WorkshopView(VersionedMixin, generics.RetrieveUpdateAPIView):
    """The workshop's details."""

    serializer_class = WorkshopDetailsData
    http_method_names = EDITED
    write_roles = OWNER_ONLY

    def get_object(self) -> Workshop:
        return get_object_or_404(Workshop)


@extend_schema(tags=TAGS)
class WorkingWeekView(VersionedMixin, generics.RetrieveUpdateAPIView):
    """Hands-on hours of each weekday, which the queue counts on."""

    serializer_class = WorkingWeekData
    http_method_names = EDITED
    write_roles = OWNER_ONLY

    def get_object(self) -> WorkingWeek:
        return working_week()


@extend_schema(tags=TAGS)
@extend_schema_view(
    create=extend_schema(
        examples=[
            OpenApiExample(
                "two weeks in summer",
                value={"first": "2027-08-02", "last": "2027-08-15", "reason": "summer"},
                request_only=True,
            )
        ]
    )
)
class DayOffViewSet(EditViewSet):
    """Days on which nobody works, the earliest first."""

    queryset = DayOff.objects.all()
    serializer_class = DayOffData
    write_roles = OWNER_ONLY
    ordering_fields = ["first"]
