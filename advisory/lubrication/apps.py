"""App configuration."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class LubricationConfig(AppConfig):
    """Oils, arrangements, services, advice."""

    name = "advisory.lubrication"

    def ready(self) -> None:
        """Listen, and keep the generic oils in step with the catalogue."""
        from advisory.lubrication import receivers  # noqa: F401  # connects them

        post_migrate.connect(_sync_catalogue, sender=self)


def _sync_catalogue(**kwargs: Any) -> None:
    from advisory.lubrication.actions import sync_catalogue

    sync_catalogue()
