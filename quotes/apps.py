"""The quoting app."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class QuotesConfig(AppConfig):
    name = "quotes"

    def ready(self) -> None:
        """Let the triggers of the search stand aside while tables are altered."""
        pre_migrate.connect(_before_tables_are_altered, sender=self)
        post_migrate.connect(_after_tables_were_altered, sender=self)


def _before_tables_are_altered(plan: list[Any] | None = None, **about: Any) -> None:
    from quotes.search.services import stop_watching_for_search

    if plan:
        stop_watching_for_search()


def _after_tables_were_altered(**about: Any) -> None:
    from quotes.search.services import watch_for_search

    watch_for_search()
