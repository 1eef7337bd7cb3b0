"""The API's own description."""

import pytest
from django.core.management import call_command

pytestmark = pytest.mark.django_db


def test_the_schema_has_neither_error_nor_warning(tmp_path):
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", tmp_path / "schema.yml")
    assert "openapi: 3" in (tmp_path / "schema.yml").read_text()
