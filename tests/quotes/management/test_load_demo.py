"""The demo workshop loads whole, and once."""

import pytest
from django.core.management import CommandError, call_command

from quotes.models import CloseOut, Quote

pytestmark = pytest.mark.django_db


def test_the_demo_shows_a_quote_in_every_state(settings, tmp_path, capsys):
    settings.MEDIA_ROOT = tmp_path
    call_command("load_demo")
    states = set(Quote.objects.values_list("state", flat=True))
    assert states == {"draft", "issued", "accepted", "declined", "lapsed"}
    assert CloseOut.objects.count() == 1
    with pytest.raises(CommandError, match="needs an empty database"):
        call_command("load_demo")
