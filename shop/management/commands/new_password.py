"""Give a new password to a person who is locked out, from the computer that holds the books."""

import sys
from getpass import getpass
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.access.services.people import admit_again, set_password
from shop.management.people import person_named


class Command(BaseCommand):
    help = "Give USER a new password, typed or piped in; sign-ins that were locked are open again."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("user", metavar="USER", help="the name that the person signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        person = person_named(options["user"])
        service = set_password if person.is_active else admit_again
        try:
            service(person=person, password=_asked(), now=timezone.now(), by="command line")
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from None
        self.stdout.write(f"{person.get_username()} can sign in with the new password.")


def _asked() -> str:
    if sys.stdin.isatty():
        return getpass("New password: ")
    return sys.stdin.readline().rstrip("\n")
