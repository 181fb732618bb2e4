"""Holding a row against its model's own rules before it is written."""

from collections.abc import Collection

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db.models import Model

from advisory.common.errors import Refused


def check(row: Model, *, only: Collection[str], whole_is: str | None = None) -> None:
    """Refuse a row in which one of the fields `only` breaks its model's rules.

    `whole_is` names the field that what concerns the whole row belongs to.
    """
    others = {field.name for field in row._meta.fields} - set(only)
    try:
        row.clean_fields(exclude=others)
        row.validate_constraints(exclude=others)
    except ValidationError as error:
        name, messages = next(iter(error.message_dict.items()))
        field = whole_is if name == NON_FIELD_ERRORS else name
        raise Refused(messages[0], field=field) from error


def one_line(text: str) -> str:
    """Return what was typed as one line: no breaks, no blanks at the ends or doubled within."""
    return " ".join(text.split())
