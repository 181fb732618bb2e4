"""App configuration."""

from django.apps import AppConfig


class NoticesConfig(AppConfig):
    """Everything that leaves the service."""

    name = "advisory.notices"

    def ready(self) -> None:
        """Listen to the apps below."""
        from advisory.notices import receivers  # noqa: F401
