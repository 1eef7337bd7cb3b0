"""Load the invented demo workshop: its stock and builds, its clients and quotes."""

from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from quotes.demo.services.books import fill_books, link_to
from quotes.models import Client, Quote
from shop.demo.services.buying import fill_demo_buying, fill_demo_counting


class Command(BaseCommand):
    help = "Load the invented demo workshop into an empty database."

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        if Client.objects.exists():
            raise CommandError("There are clients already. The demo needs an empty database.")
        call_command("load_demo_shop", verbosity=options["verbosity"])
        now = timezone.now()
        today = timezone.localdate(now)
        quotes = fill_books(on=today, now=now)
        fill_demo_counting(now=now)
        fill_demo_buying(now=now)
        open_abroad = next(
            quote for quote in quotes if quote.state == Quote.State.ISSUED and quote.offered
        )
        secret = link_to(open_abroad, on=today, now=now)
        self.stdout.write(
            f"The demo workshop is loaded, with {len(quotes)} quotes. "
            f"A client reads one of them at /offer/{secret}/."
        )
