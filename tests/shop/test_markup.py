"""Whatever somebody typed is text, on a page and on paper: no markup, and nothing to be fetched."""

import pytest
from django import forms
from django.template.loader import render_to_string
from weasyprint.urls import URLFetchingError, fetch

from inventory.base.documents import nothing_fetched


class Hinted(forms.Form):
    rate = forms.CharField(help_text="<script>alert(1)</script> 20 % today.")


def test_a_hint_that_somebody_named_is_no_markup():
    shown = render_to_string("django/forms/hint.html", {"field": Hinted()["rate"]})
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


@pytest.mark.parametrize(
    "address", ["file:///etc/hostname", "http://127.0.0.1:9/", "data:text/plain,x", "//host/x"]
)
def test_a_paper_opens_no_address(address):
    with pytest.raises(URLFetchingError), fetch(nothing_fetched(), address):
        pass
