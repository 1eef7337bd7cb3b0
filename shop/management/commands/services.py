"""List every service, room by room."""

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from types import ModuleType
from typing import Any

from django.core.management.base import BaseCommand

APPS = ("inventory", "shop", "quotes")


class Command(BaseCommand):
    help = "List every service, room by room, with what it does."

    def handle(self, *args: Any, **options: Any) -> None:
        for app in APPS:
            for module in service_modules(app):
                self.stdout.write(f"\n{module.__name__}")
                for name, promise in services_in(module):
                    self.stdout.write(f"  {name:<26} {promise}")


def service_modules(app: str) -> Iterator[ModuleType]:
    """Import and return the modules of an app that are services or lie in a folder of them."""
    package = importlib.import_module(app)
    for found in pkgutil.walk_packages(package.__path__, f"{app}."):
        if "services" in found.name.split(".")[2:] and not found.ispkg:
            yield importlib.import_module(found.name)


def services_in(module: ModuleType) -> Iterator[tuple[str, str]]:
    """Return the name and the first line of each public function that a module defines."""
    for name, made in vars(module).items():
        is_own = inspect.isfunction(made) and made.__module__ == module.__name__
        if is_own and not name.startswith("_"):
            yield name, (inspect.getdoc(made) or "").split("\n")[0]
