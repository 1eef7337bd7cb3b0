"""Who may come in, in the API: people, my password and sessions, and the log the owner reads."""

from collections.abc import Callable
from typing import Any

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.decorators import action
from rest_framework.exceptions import Throttled
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.pagination import JournalPages
from inventory.base.api.views import ActionView, ReadViewSet
from inventory.base.roles import OWNER_ONLY, ROLE_WORDS, ROLES
from shop.access.bookkeeping import NOT_YOUR_PASSWORD, ONE_LOCK, is_password_of
from shop.access.queries import everybody, role_in, sessions_of
from shop.access.services.people import (
    add_person,
    admit_again,
    end_access,
    end_other_sessions,
    set_password,
    set_role,
)
from shop.access.services.second_factor import turn_off_second_factor
from shop.models import AccessEntry

TAGS = ["access"]


def _password_field(words: str) -> serializers.CharField:
    return serializers.CharField(max_length=200, trim_whitespace=False, help_text=words)


@example("sure", password="spruce-and-snow")
class PasswordAsked(serializers.Serializer):
    """My own password, once more: what is asked needs it with every request."""

    password = _password_field("Your own password, as you sign in with it.")


@example("an apprentice", first_name="Bram", username="bram", new_password="maple-after-rain",
         role="maker", password="spruce-and-snow")  # fmt: skip
class PersonAsked(PasswordAsked):
    """Somebody who may sign in from now on."""

    first_name = serializers.CharField(max_length=60)
    username = serializers.CharField(max_length=150, help_text="What they sign in with.")
    new_password = _password_field("The new person's; at least 12 characters, no common one.")
    role = serializers.ChoiceField(choices=list(ROLE_WORDS.items()))


@example("a bookkeeper", role="bookkeeper", password="spruce-and-snow")
class RoleAsked(PasswordAsked):
    """What a person may do from now on."""

    role = serializers.ChoiceField(choices=list(ROLE_WORDS.items()))


@example("another", new_password="maple-after-rain", password="spruce-and-snow")
class NewPasswordAsked(PasswordAsked):
    """A new password, and my own once more."""

    new_password = _password_field("At least 12 characters, no common one.")


class PersonData(serializers.ModelSerializer):
    """Somebody who may sign in, or no longer may."""

    role = serializers.SerializerMethodField(help_text="Empty for who has none.")
    has_second_factor = serializers.SerializerMethodField(
        help_text="Whether a code is asked for after the password."
    )

    class Meta:
        model = User
        fields = ["id", "first_name", "username", "role", "is_active", "has_second_factor"]
        read_only_fields = fields
        extra_kwargs = {
            "username": {"help_text": "What they sign in with."},
            "is_active": {"help_text": "False once their access was ended."},
        }

    @extend_schema_field(serializers.ChoiceField(list(ROLE_WORDS.items()), allow_blank=True))
    def get_role(self, person: User) -> str:
        return role_in(person)

    def get_has_second_factor(self, person: User) -> bool:
        return hasattr(person, "second_factor")


class SessionData(serializers.Serializer):
    """A browser in which I am signed in."""

    began = serializers.DateTimeField(allow_null=True)
    address = serializers.CharField(help_text="From where, as an IP address.")
    browser = serializers.CharField(help_text="What the browser said of itself.")
    is_this = serializers.BooleanField(help_text="Whether this request came from it.")


class EndedData(serializers.Serializer):
    """How many sessions ended."""

    ended = serializers.IntegerField(help_text="How many sessions ended.")


class AccessEntryData(serializers.ModelSerializer):
    """One line of the access log."""

    class Meta:
        model = AccessEntry
        fields = ["id", "at", "act", "person", "by", "address", "detail"]
        read_only_fields = fields


class AsksPassword:
    """Takes a POST only with my own password in its body.

    It is checked before the work begins, so that a wrong one is counted whatever is undone then.
    """

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)  # type: ignore[misc]
        if request.method == "POST":
            _check_my_password(request)


def _check_my_password(request: Request) -> None:
    typed = validated_body(PasswordAsked, request)["password"]
    http = request._request
    name = request.user.get_username()
    if not AxesProxyHandler.is_allowed(http, {"username": name}):
        raise Throttled(wait=int(ONE_LOCK.total_seconds()))
    if not is_password_of(http, name, typed):
        # The lock answers pages by itself; a program is told in a problem.
        http.axes_locked_out = False  # type: ignore[attr-defined]
        raise serializers.ValidationError({"password": NOT_YOUR_PASSWORD})


@extend_schema(tags=TAGS)
class PersonViewSet(AsksPassword, ReadViewSet):
    """Who may sign in, by name; then who no longer may."""

    queryset = everybody()
    serializer_class = PersonData
    read_roles = OWNER_ONLY
    write_roles = OWNER_ONLY
    sent_as = {"password": "new_password"}

    @extend_schema(request=PersonAsked, responses={201: PersonData})
    def create(self, request: Request) -> Response:
        """Add a person."""
        asked = validated_body(PersonAsked, request)
        person = add_person(
            username=asked["username"],
            first_name=asked["first_name"],
            password=asked["new_password"],
            role=asked["role"],
            now=timezone.now(),
            by=request.user.get_username(),
        )
        return Response(PersonData(person).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=RoleAsked, responses=PersonData)
    @action(detail=True, methods=["post"])
    def role(self, request: Request, pk: int) -> Response:
        """Give a person another role. The only owner stays one."""
        asked = validated_body(RoleAsked, request)
        return self._act(request, set_role, role=asked["role"])

    @extend_schema(request=NewPasswordAsked, responses=PersonData)
    @action(detail=True, methods=["post"])
    def password(self, request: Request, pk: int) -> Response:
        """Give a person a new password, for when they forgot theirs; their sessions end."""
        asked = validated_body(NewPasswordAsked, request)
        return self._act(request, set_password, password=asked["new_password"])

    @extend_schema(request=PasswordAsked, responses=PersonData)
    @action(detail=True, methods=["post"])
    def end(self, request: Request, pk: int) -> Response:
        """End a person's access: sessions, devices, codes, and all links to the calendar.

        What they recorded stays under their name. The only owner can't be ended.
        """
        return self._act(request, end_access)

    @extend_schema(request=NewPasswordAsked, responses=PersonData)
    @action(detail=True, methods=["post"])
    def admit(self, request: Request, pk: int) -> Response:
        """Give a person access again, with a new password and the role that they had."""
        asked = validated_body(NewPasswordAsked, request)
        return self._act(request, admit_again, is_active=False, password=asked["new_password"])

    @extend_schema(request=PasswordAsked, responses=PersonData)
    @action(detail=True, methods=["post"], url_path="second-factor/off")
    def second_factor_off(self, request: Request, pk: int) -> Response:
        """Turn off the second factor of a person who lost phone and recovery codes."""
        return self._act(request, turn_off_second_factor)

    def _act(
        self,
        request: Request,
        service: Callable[..., Any],
        is_active: bool = True,
        **asked: Any,
    ) -> Response:
        person = get_object_or_404(User, pk=self.kwargs["pk"], is_active=is_active)
        service(person=person, now=timezone.now(), by=request.user.get_username(), **asked)
        return Response(PersonData(everybody().get(pk=person.pk)).data)


class MyPasswordView(AsksPassword, ActionView):
    """My password."""

    write_roles = frozenset(ROLES)
    sent_as = {"password": "new_password"}

    @extend_schema(tags=TAGS, request=NewPasswordAsked, responses=EndedData)
    def post(self, request: Request) -> Response:
        """Give myself a new password. My other sessions end; devices stay connected."""
        asked = validated_body(NewPasswordAsked, request)
        me, keep, now = _me(request), _own_session(request), timezone.now()
        others = [one for one in sessions_of(me.pk, now) if one.key != keep]
        name = me.get_username()
        set_password(person=me, password=asked["new_password"], now=now, by=name, keep=keep)
        if keep:
            update_session_auth_hash(request._request, me)
        return Response(EndedData({"ended": len(others)}).data)


class SessionsView(ActionView):
    """My sessions."""

    write_roles = frozenset(ROLES)

    @extend_schema(tags=TAGS, responses=SessionData(many=True))
    def get(self, request: Request) -> Response:
        """Return the browsers in which I am signed in, the latest first."""
        own = _own_session(request)
        rows = [
            {
                "began": one.began,
                "address": one.address,
                "browser": one.browser,
                "is_this": one.key == own,
            }
            for one in sessions_of(_me(request).pk, timezone.now())
        ]
        return Response(SessionData(rows, many=True).data)


class EndSessionsView(ActionView):
    """My other sessions."""

    write_roles = frozenset(ROLES)

    @extend_schema(tags=TAGS, request=None, responses=EndedData)
    def post(self, request: Request) -> Response:
        """End my sessions but the one that asks; asked by a device, all of them."""
        keep = _own_session(request)
        ended = end_other_sessions(person=_me(request), now=timezone.now(), keep=keep)
        return Response(EndedData({"ended": ended}).data)


@extend_schema(tags=TAGS)
class AccessLogViewSet(ReadViewSet):
    """Who came in, who failed to, and what was done with the deepest rights; the latest first."""

    queryset = AccessEntry.objects.all()
    serializer_class = AccessEntryData
    pagination_class = JournalPages
    read_roles = OWNER_ONLY
    filterset_fields = ["act", "person"]


def _me(request: Request) -> User:
    return User.objects.get(username=request.user.get_username())


def _own_session(request: Request) -> str:
    """Return the key of the session that asks; empty where a device does."""
    return "" if request.auth else request._request.session.session_key or ""
