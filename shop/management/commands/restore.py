"""Read a copy of the books into an empty database."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.access.bookkeeping import Act, log_access
from shop.copies.documents.sealing import passphrase_in
from shop.copies.services import restore_books


class Command(BaseCommand):
    help = "Read FILE, a copy or a file of everything, into an empty database of either kind."
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path)
        parser.add_argument("--passphrase-file", default=settings.COPIES_PASSPHRASE_FILE)

    def handle(self, *args: Any, **options: Any) -> None:
        file = options["file"]
        if not file.is_file():
            raise CommandError(f"There is no file {file}.")
        try:
            phrase = passphrase_in(options["passphrase_file"])
            about = restore_books(file=file, passphrase=phrase)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from None
        log_access(
            act=Act.RESTORED,
            person="",
            now=timezone.now(),
            detail=f"backup of {about['made_at'][:16]}",
        )
        rows = sum(table["rows"] for table in about["tables"].values())
        self.stdout.write(
            f"Restored the backup of {about['made_at'][:16].replace('T', ' ')}: {rows} rows "
            f"in {len(about['tables'])} tables, {len(about['files'])} files. Pair the phones again."
        )
