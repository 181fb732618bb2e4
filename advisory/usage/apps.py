"""App configuration."""

from django.apps import AppConfig


class UsageConfig(AppConfig):
    """Readings, lay-ups, forecast."""

    name = "advisory.usage"

    def ready(self) -> None:
        """Listen to the register."""
        from advisory.usage import receivers  # noqa: F401
