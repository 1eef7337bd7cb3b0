"""The workshop app."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
