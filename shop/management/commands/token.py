"""Print a token for one person's device."""

from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from shop.devices.services import add_device
from shop.models import Device


class Command(BaseCommand):
    help = "Print a token with which a device of USER may use the API."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("user", metavar="USER", help="the name that the person signs in with")
        parser.add_argument("--device", default="command line", help="what to call the device")
        parser.add_argument("--bench", action="store_true", help="for the work of the bench only")

    def handle(self, *args: Any, **options: Any) -> None:
        user = User.objects.filter(username=options["user"]).first()
        if user is None:
            names = ", ".join(User.objects.order_by("username").values_list("username", flat=True))
            raise CommandError(
                f"Nobody signs in as {options['user']}. There are: {names or 'nobody yet'}."
            )
        _, token = add_device(
            user=user,
            name=options["device"],
            now=timezone.now(),
            rights=Device.Rights.BENCH if options["bench"] else Device.Rights.ALL,
        )
        self.stdout.write(token)
