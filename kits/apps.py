"""Engines, templates, fit, and customised kits."""

from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "kits"
    verbose_name = "Kits"

    def ready(self) -> None:
        from . import guarding

        guarding.connect()
