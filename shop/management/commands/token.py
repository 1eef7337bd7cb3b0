"""Print a token for one person's device."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from shop.devices.services import add_device
from shop.management.people import person_named
from shop.models import Device


class Command(BaseCommand):
    help = "Print a token with which a device of USER may use the API."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("user", metavar="USER", help="the name that the person signs in with")
        parser.add_argument("--device", default="command line", help="what to call the device")
        parser.add_argument("--bench", action="store_true", help="for the work of the bench only")

    def handle(self, *args: Any, **options: Any) -> None:
        user = person_named(options["user"])
        _, token = add_device(
            user=user,
            name=options["device"],
            now=timezone.now(),
            rights=Device.Rights.BENCH if options["bench"] else Device.Rights.ALL,
        )
        self.stdout.write(token)
