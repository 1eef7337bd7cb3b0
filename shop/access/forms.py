"""What the pages about people and passwords ask."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import password_validators_help_texts

from inventory.base.roles import ROLE_WORDS, ROLES


def new_password_field(label: str = "Password") -> forms.CharField:
    """Return a field for a new password, which says what the password has to be."""
    return forms.CharField(
        label=label,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=password_validators_help_texts()[0],
    )


class PersonForm(forms.Form):
    """Somebody who may sign in."""

    first_name = forms.CharField(max_length=60)
    username = forms.CharField(label="User name", max_length=150)
    password = new_password_field()
    role = forms.ChoiceField(choices=list(ROLE_WORDS.items()), initial=ROLES[1])


class RoleForm(forms.Form):
    """What a person may do."""

    role = forms.ChoiceField(choices=list(ROLE_WORDS.items()))


class PasswordForm(forms.Form):
    """A new password for somebody else."""

    password = new_password_field("New password")


class MyPasswordForm(forms.Form):
    """My own password: the one I have, and the new one."""

    current = forms.CharField(
        label="Current password",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    password = new_password_field("New password")
    again = forms.CharField(
        label="New password again",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("password") != data.get("again"):
            self.add_error("again", "The two new passwords differ. Type the same one twice.")
        return data


class CodeForm(forms.Form):
    """The code that is asked for after the password."""

    code = forms.CharField(
        max_length=40,
        help_text="Six digits, or one of your recovery codes if you don’t have your phone.",
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "autofocus": True}),
    )


class NewFactorForm(forms.Form):
    """The first code that the app shows."""

    code = forms.CharField(
        label="Code from the app",
        max_length=20,
        help_text="Six digits, which change every half minute.",
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "numeric"}),
    )
