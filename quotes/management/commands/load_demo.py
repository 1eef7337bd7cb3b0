"""Load the invented demo workshop: its stock and builds, its clients and quotes."""

from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from quotes.management.demo_books import fill_books
from quotes.models import Client


class Command(BaseCommand):
    help = "Load the invented demo workshop into an empty database."

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        if Client.objects.exists():
            raise CommandError("There are clients already. The demo needs an empty database.")
        call_command("load_demo_shop", verbosity=options["verbosity"])
        now = timezone.now()
        quotes = fill_books(on=timezone.localdate(now), now=now)
        self.stdout.write(f"The demo workshop is loaded, with {len(quotes)} quotes.")
