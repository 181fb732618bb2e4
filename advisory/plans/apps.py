"""App configuration."""

from django.apps import AppConfig


class PlansConfig(AppConfig):
    """What is due, when and why."""

    name = "advisory.plans"

    def ready(self) -> None:
        """Listen to what the apps below say."""
        from advisory.plans import receivers  # noqa: F401
