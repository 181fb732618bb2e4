"""App configuration."""

from django.apps import AppConfig


class UsageConfig(AppConfig):
    """Readings, lay-ups, forecast."""

    name = "advisory.usage"
