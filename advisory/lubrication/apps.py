"""App configuration."""

from django.apps import AppConfig


class LubricationConfig(AppConfig):
    """Oils, arrangements, services, advice."""

    name = "advisory.lubrication"
