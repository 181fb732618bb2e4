"""App configuration."""

from django.apps import AppConfig


class PlansConfig(AppConfig):
    """What is due, when and why."""

    name = "advisory.plans"
