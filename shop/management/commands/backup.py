"""Keep a copy of the books."""

import os
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from shop.copies.documents.sealing import passphrase_in
from shop.copies.queries import copies_in
from shop.copies.services import keep_copy
from shop.launch.folders import hold_alone

POLITE = 10
"""How far a copy that nobody waits for stands back: a nice value (POSIX)."""


class Command(BaseCommand):
    help = "Make a backup, check it, and thin out older ones to days, weeks and months."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--to", type=Path, default=settings.COPIES_DIR, help="folder; default: %(default)s"
        )
        parser.add_argument("--if-due", action="store_true", help="only if today has none yet")
        parser.add_argument(
            "--passphrase-file", default=settings.COPIES_PASSPHRASE_FILE, help="lock it with this"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        workshop = Workshop.objects.first()
        if workshop is None:
            raise CommandError("There is no workshop yet, so there is nothing to copy.")
        made_at = timezone.localtime(timezone=ZoneInfo(workshop.time_zone))
        folder = options["to"]
        held = hold_alone(settings.DATA_DIR / "copying.lock")
        if held is None:
            if options["if_due"]:
                return
            raise CommandError("A copy is being made already.")
        with held:
            if options["if_due"]:
                if made_at.date() in copies_in(folder):
                    return
                if hasattr(os, "nice"):
                    os.nice(POLITE)
            try:
                phrase = passphrase_in(options["passphrase_file"])
                kept = keep_copy(folder=folder, made_at=made_at, passphrase=phrase)
            except Refusal as refusal:
                raise CommandError(refusal.sentence) from None
            except OSError as error:
                raise CommandError(f"No copy could be kept in {folder}: {error}.") from None
        self.stdout.write(f"The backup is checked and stored in {kept}.")
