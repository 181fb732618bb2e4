"""App configuration."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    """What owners see, and the workshop's answer."""

    name = "advisory.findings"

    def ready(self) -> None:
        """Connect the receivers."""
        from advisory.findings import measured, receivers  # noqa: F401
