"""The demo workshop, loaded once for a class of tests, with a person for each role."""

import shutil
import tempfile
from contextlib import contextmanager
from unittest import mock

import weasyprint
from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, transaction
from django.test import TestCase, override_settings
from django.utils import timezone

from inventory.base import documents
from inventory.base.roles import ROLES
from quotes.papers.documents import printing
from shop.devices.services import add_device
from tests.conftest import anew, make_person

LITTLE_PAPER = '<html lang="en"><title>Paper</title><p>What it says is tested elsewhere.'


class DemoTestCase(TestCase):
    """Rows are those of the demo; what a test writes is undone after it."""

    @classmethod
    def setUpClass(cls):
        cls.media = tempfile.mkdtemp()
        cls.enterClassContext(override_settings(MEDIA_ROOT=cls.media))
        cls.addClassCleanup(shutil.rmtree, cls.media)
        cls.enterClassContext(mock.patch("weasyprint.HTML", little_paper(weasyprint.HTML)))
        # What stands in for a paper must not be taken for it by later tests.
        cls.enterClassContext(mock.patch.object(printing, "_laid_out", anew(printing._laid_out)))
        cls.enterClassContext(mock.patch.object(documents, "_written", anew(documents._written)))
        super().setUpClass()

    @classmethod
    def setUpTestData(cls):
        begin_keys_at_one()
        call_command("load_demo", verbosity=0, stdout=open_nothing())
        cls.people = {role: make_person(f"one {role}", role) for role in ROLES}
        cls.device, cls.token = add_device(
            user=cls.people["owner"], name="phone", now=timezone.now(), rights="all"
        )
        cls.now = timezone.now()


def begin_keys_at_one():
    """Set keys back, which go on after rows that earlier tests took back or deleted."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            # It begins after the last row that there is, where this says less.
            cursor.execute("UPDATE sqlite_sequence SET seq = 0")
        for statement in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
            cursor.execute(statement)


def little_paper(real):
    """Return a stand-in that lays out one short paper, whatever it is given: seconds are saved."""
    return lambda string, **more: real(string=LITTLE_PAPER, **more)


def open_nothing():
    from io import StringIO

    return StringIO()


def read(answer):
    """Return an answer; a file that it sends is read to its end, and so closed."""
    if answer.streaming:
        list(answer.streaming_content)
    return answer


@contextmanager
def undone():
    """Take back whatever is written within."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
