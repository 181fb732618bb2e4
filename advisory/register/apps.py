"""App configuration."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class RegisterConfig(AppConfig):
    """Cars, units, designs, builds."""

    name = "advisory.register"

    def ready(self) -> None:
        """Keep the starter designs in step with those in code."""
        post_migrate.connect(_sync_starter_designs, sender=self)


def _sync_starter_designs(*, using: str = "default", **_: Any) -> None:
    from django.db import connections

    from advisory.register.models import Position
    from advisory.register.starter_designs import sync_starter_designs

    # nothing to keep in step where the migrations stopped before the tables
    if Position._meta.db_table in connections[using].introspection.table_names():
        sync_starter_designs()
