"""What the service's own commands have in common."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _


class RecordsCommand(BaseCommand):
    """A command that works on what the service keeps, and says so where there is no place yet."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        """Do it; where the database failed for want of its tables, say how to make them."""
        try:
            return super().execute(*args, **options)
        except DatabaseError as error:
            if not _is_behind():
                raise
            message = _("The database hasn't all tables of this version. First: manage.py migrate")
            raise CommandError(message) from error


def _is_behind() -> bool:
    """Whether migrations are to be made yet; False where the database doesn't even answer that."""
    try:
        executor = MigrationExecutor(connection)
        return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    except DatabaseError:
        return False
