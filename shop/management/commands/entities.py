"""Draw the tables and how they hang together."""

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.core.management.base import BaseCommand
from django.db import models

APPS = ("inventory", "shop", "quotes")


class Command(BaseCommand):
    help = "Print the tables and how they hang together as a Mermaid diagram, or those of one APP."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("app", nargs="?", choices=APPS, help="only the tables of this app")

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write("erDiagram")
        for app in [options["app"]] if options["app"] else APPS:
            for line in diagram(app):
                self.stdout.write(f"    {line}")


def diagram(app: str) -> Iterator[str]:
    """Return a line for each key of each table: how many of one belong to how many of another."""
    for model in apps.get_app_config(app).get_models():
        for field in model._meta.get_fields():
            if not isinstance(field, models.ForeignKey | models.ManyToManyField):
                continue
            target = field.remote_field.model
            # `related_model` of a key to itself is a word until Django resolved it.
            other = target if isinstance(target, str) else target.__name__
            yield f'{model.__name__} {ends(field)} {other} : "{field.name}"'


def ends(field: models.Field) -> str:
    """Return how a key is drawn: many to one, one to one, or many to many."""
    if isinstance(field, models.ManyToManyField):
        return "}o--o{"
    least = "o" if field.null else "|"
    return f"|o--{least}|" if isinstance(field, models.OneToOneField) else f"}}o--{least}|"
