"""App configuration."""

from django.apps import AppConfig


class NoticesConfig(AppConfig):
    """Everything that leaves the service."""

    name = "advisory.notices"
