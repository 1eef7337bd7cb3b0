"""What the page of a mail asks."""

from typing import Any

from django import forms

from quotes.base.fields import day_field, text_area


class MailForm(forms.Form):
    """To whom, in which words, and with a link up to which day."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    sent_to = forms.EmailField(label="To")
    subject = forms.CharField(max_length=200)
    words = forms.CharField(label="Text", widget=text_area(9), max_length=5000)
    link_until = day_field(
        label="Link works until",
        required=False,
        help_text="A new link to the client’s page goes below the text. Empty: no link.",
    )

    def __init__(self, *args: Any, has_link: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_link:
            del self.fields["link_until"]
