"""People: let in, given a role or a new password, kept out; and the log the owner reads."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.models import User
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form
from inventory.base.roles import OWNER, ROLE_WORDS, allow_roles, role_of
from shop.access.forms import PasswordForm, PersonForm, RoleForm
from shop.access.pages.doors import asks_password_again, owners_only
from shop.access.queries import everybody, role_in
from shop.access.services.people import add_person, admit_again, end_access, set_password, set_role
from shop.access.services.second_factor import turn_off_second_factor
from shop.models import AccessEntry

LINES = 100


@owners_only
def people(request: HttpRequest) -> HttpResponse:
    """Show everybody who may sign in, and who no longer may."""
    shown = [(person, ROLE_WORDS.get(role_in(person), "")) for person in everybody()]
    return render(request, "shop/access/people.html", {"people": shown})


@allow_roles(OWNER)
@owners_only
@asks_password_again
def person_add(request: HttpRequest) -> HttpResponse:
    """Add a person."""

    def act(data: dict[str, Any]) -> str:
        add_person(**data, now=timezone.now(), by=request.user.get_username())
        return reverse("people")

    return handle_form(request, PersonForm(request.POST or None), _page("Add a person"), act)


@allow_roles(OWNER)
@owners_only
@asks_password_again
def person_role(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a person another role."""
    person = get_object_or_404(User, pk=pk, is_active=True)
    form = RoleForm(request.POST or None, initial={"role": role_of(person)})
    return _about(request, person, form, f"Role of {person.get_username()}", set_role)


@allow_roles(OWNER)
@owners_only
@asks_password_again
def person_password(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a person a new password, for when they forgot theirs."""
    person = get_object_or_404(User, pk=pk, is_active=True)
    form = PasswordForm(request.POST or None)
    heading = f"New password for {person.get_username()}"
    return _about(request, person, form, heading, set_password)


@allow_roles(OWNER)
@owners_only
@asks_password_again
def person_admit(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a person access again."""
    person = get_object_or_404(User, pk=pk, is_active=False)
    form = PasswordForm(request.POST or None)
    return _about(request, person, form, f"Give {person.get_username()} access again", admit_again)


@allow_roles(OWNER)
@owners_only
@asks_password_again
def person_end(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what ends with a person's access, and end it."""
    person = get_object_or_404(User, pk=pk, is_active=True)
    page = FormPage(
        heading=f"Revoke access of {person.get_username()}",
        do="Revoke access",
        back=reverse("people"),
        lede="Their sessions and devices end at once, and so do all links to the calendar: make "
        "new ones for those who stay. What they recorded stays under their name.",
        trail=_trail(),
    )

    def act(data: dict[str, Any]) -> str:
        end_access(person=person, now=timezone.now(), by=request.user.get_username())
        messages.success(request, f"{person.get_username()} can’t sign in any more.")
        return reverse("people")

    form = forms.Form(request.POST if request.method == "POST" else None)
    return handle_form(request, form, page, act)


@allow_roles(OWNER)
@owners_only
@asks_password_again
def person_factor_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Turn off the second factor of a person who lost phone and recovery codes."""
    person = get_object_or_404(User, pk=pk, is_active=True)
    page = FormPage(
        heading=f"Turn off the second factor of {person.get_username()}",
        do="Stop asking for a code",
        back=reverse("people"),
        lede="Their password alone then signs them in, until they turn it on again.",
        trail=_trail(),
    )

    def act(data: dict[str, Any]) -> str:
        turn_off_second_factor(person=person, now=timezone.now(), by=request.user.get_username())
        messages.success(request, f"{person.get_username()} signs in with the password alone.")
        return reverse("people")

    form = forms.Form(request.POST if request.method == "POST" else None)
    return handle_form(request, form, page, act)


@owners_only
def access_log(request: HttpRequest) -> HttpResponse:
    """Show who came in, who failed to, and what was done with the deepest rights."""
    page = Paginator(AccessEntry.objects.all(), LINES).get_page(request.GET.get("page"))
    return render(request, "shop/access/log.html", {"page": page})


def _about(
    request: HttpRequest,
    person: User,
    form: forms.Form,
    heading: str,
    service: Callable[..., User],
) -> HttpResponse:
    def act(data: dict[str, Any]) -> str:
        service(person=person, **data, now=timezone.now(), by=request.user.get_username())
        messages.success(request, "Saved.")
        return reverse("people")

    return handle_form(request, form, _page(heading), act)


def _page(heading: str) -> FormPage:
    return FormPage(heading=heading, back=reverse("people"), trail=_trail())


def _trail() -> tuple[tuple[str, str], ...]:
    return (("Workshop", reverse("workshop")), ("People", reverse("people")))
