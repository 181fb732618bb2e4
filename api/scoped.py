"""Views over rows: what `rules.py` lets the caller see, and nothing else."""

from typing import Any, ClassVar, TypeVar

from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404
from rest_framework import mixins
from rest_framework.request import Request
from rest_framework.viewsets import GenericViewSet

from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission

Row = TypeVar("Row", bound=Model)


def person_of(request: Request) -> Person:
    """Return who calls; `IsAuthenticated` has been asked before any view of ours runs."""
    assert isinstance(request.user, Person)
    return request.user


def find_or_404(request: Request, permission: Permission, rows: "QuerySet[Row]", pk: Any) -> Row:
    """Return one row on which the caller holds `permission`; for anybody else it isn't there."""
    return get_object_or_404(rules.scope(person_of(request), permission, rows), pk=pk)


class Scoped(GenericViewSet[Any]):
    """A view set whose rows are narrowed by `permission`, always."""

    permission: ClassVar[Permission]
    lookup_value_regex = "[0-9]{1,18}"

    def get_queryset(self) -> QuerySet[Any]:
        """Return the caller's rows; none while the schema is drawn."""
        rows = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):
            return rows.none()
        return rules.scope(person_of(self.request), self.permission, rows)


class ScopedReadViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Lists the caller's rows, and shows one."""
