from io import StringIO

import pytest
from django.core.management import CommandError, call_command

pytestmark = pytest.mark.django_db


def test_the_printed_token_opens_the_api(client, posy):
    out = StringIO()
    call_command("token", "posy", "--device", "shed laptop", stdout=out)
    answer = client.get(
        "/api/v1/builds/", headers={"Authorization": f"Token {out.getvalue().strip()}"}
    )
    assert answer.status_code == 200
    assert posy.auth_token_set.get().device.name == "shed laptop"


def test_a_stranger_gets_no_token(posy):
    with pytest.raises(CommandError, match=r"Nobody signs in as bram\. There are: posy"):
        call_command("token", "bram")
