"""Turn off the second factor of a person who is locked out, from the computer with the books."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.access.services.second_factor import turn_off_second_factor
from shop.management.people import person_named


class Command(BaseCommand):
    help = "Let USER sign in with the password alone, after phone and recovery codes are lost."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("user", metavar="USER", help="the name that the person signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        person = person_named(options["user"])
        try:
            turn_off_second_factor(person=person, now=timezone.now(), by="command line")
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from None
        self.stdout.write(f"{person.get_username()} can sign in with the password alone.")
