"""Load the shop side of the demo workshop into an empty database."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.demo.services.load import PASSWORD, load_demo_shop


class Command(BaseCommand):
    help = "Load the invented workshop's people, shelf and builds into an empty database."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            workshop = load_demo_shop(now=timezone.now())
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from None
        self.stdout.write(f"{workshop} is open. Sign in as posy or bram with {PASSWORD}.")
