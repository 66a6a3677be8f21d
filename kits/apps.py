"""Engines, templates, fit, and customised kits."""

from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "kits"
    verbose_name = "Kits"
