"""The workshop app."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"

    def ready(self) -> None:
        """Tell the stock, which knows no builds, what theirs are called; have sign-ins logged."""
        from inventory.shelf.queries.traces import name_holders_by
        from shop.access.signals import note_signals
        from shop.builds.queries.builds import build_names

        name_holders_by(build_names)
        note_signals()
