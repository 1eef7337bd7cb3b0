"""The desk in a browser."""

import pytest
from django.conf import settings


@pytest.fixture
def at_desk(page, computer, client, posy):
    """A page with Posy signed in: signing in itself is tried elsewhere."""
    client.force_login(posy)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session, "url": computer.url}
    page.context.add_cookies([cookie])
    return page
