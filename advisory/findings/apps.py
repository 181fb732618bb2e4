"""App configuration."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    """What owners see, and the workshop's answer."""

    name = "advisory.findings"
