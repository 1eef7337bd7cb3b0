"""Write everything in the books to one file."""

from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.models import Workshop
from shop.archive.documents import everything_zip
from shop.copies.queries import NoRoom


class Command(BaseCommand):
    help = "Write all data to FILE, a ZIP: tables, papers, photos."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path, help="name of the new file")

    def handle(self, *args: Any, **options: Any) -> None:
        workshop = Workshop.objects.first()
        if workshop is None:
            raise CommandError("There is no workshop yet. Open one: python3 manage.py start")
        zone = ZoneInfo(workshop.time_zone)
        try:
            with timezone.override(zone), options["file"].open("xb") as file:
                file.writelines(everything_zip(workshop, timezone.localtime()))
        except FileExistsError:
            raise CommandError(f"{options['file']} already exists. Choose another name.") from None
        except NoRoom as refusal:
            options["file"].unlink()
            raise CommandError(refusal.sentence) from None
        except OSError as error:
            raise CommandError(f"{options['file']} can't be written: {error.strerror}.") from None
        self.stdout.write(f"All data is in {options['file']}.")
