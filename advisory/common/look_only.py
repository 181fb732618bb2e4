"""The admin is to look at only: every change goes through an action."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
    TabularInline = admin.TabularInline[Any, Any]
else:  # they take no parameter when they run
    ModelAdmin = admin.ModelAdmin
    TabularInline = admin.TabularInline


class LookOnly:
    """Nothing is added, changed or deleted."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False


class LookOnlyAdmin(LookOnly, ModelAdmin):
    """Rows to look at."""


class LookOnlyInline(LookOnly, TabularInline):
    """Rows to look at, under the row that they belong to."""
