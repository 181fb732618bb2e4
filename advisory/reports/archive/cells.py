"""Cells of an archive's tables, read by their column, or refused with table and line."""

import json
import math
from collections.abc import Callable
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Field, FloatField, ForeignKey, JSONField, Model
from django.utils.translation import gettext as _

from advisory.common.errors import Refused


def names_itself(model: type[Model], columns: "list[Field[Any, Any]]", row: dict[str, str]) -> bool:
    """Say whether a row names another of its own table, which must be there first."""
    return any(
        isinstance(column, ForeignKey) and column.related_model is model and row.get(column.name)
        for column in columns
    )


def value_in(column: "Field[Any, Any]", table: str, line: int, cell: str) -> Any:
    """Return what a cell says, as its column takes it."""
    if cell == "" and column.null:
        return None
    try:
        if isinstance(column, JSONField):
            return json.loads(cell)
        value = column.to_python(cell)
        if value not in ("", None):
            column.run_validators(value)
        if column.choices and value not in ("", None) and value not in _offered(column):
            raise ValueError(value)
        if isinstance(column, FloatField) and not math.isfinite(value):
            raise ValueError(value)
    except (ValidationError, ValueError, TypeError, OverflowError) as error:
        raise broken(
            table, line, _("“%(column)s” can't be read") % {"column": column.name}
        ) from error
    return value


def _offered(column: "Field[Any, Any]") -> set[Any]:
    return {value for value, _label in column.flatchoices}


def key_in(table: str, line: int, cell: str) -> int:
    """Return the key that a cell holds."""
    if not (cell.isascii() and cell.isdigit() and len(cell) <= 18):
        raise broken(table, line, _("its key is no number"))
    return int(cell)


def checked(table: str, line: int, check: Callable[[], None]) -> None:
    """Let a row check itself."""
    try:
        check()
    except ValidationError as error:
        raise broken(table, line, "; ".join(error.messages)) from error


def broken(table: str, line: int, why: str) -> Refused:
    """Say what stands against a line."""
    return Refused(
        _("“%(table)s”, line %(line)d: %(why)s. Nothing was taken in.")
        % {"table": table, "line": line, "why": why}
    )
