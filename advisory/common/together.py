"""Rows of several tables in one statement, for a page that needs a little of each.

A page of one unit asks for a handful of rows from each of a dozen tables; what it waits for is the
way to the database and back. `fetch_together` goes once: the querysets become the arms of one
``UNION ALL``, each column in a slot of its kind, empty where an arm has none. Each arm keeps its
own conditions, so that it is as narrow as by itself.
"""

from collections.abc import Sequence
from itertools import count
from typing import Any

from django.db import connection
from django.db.models import (
    BooleanField,
    DateField,
    DateTimeField,
    F,
    Field,
    FloatField,
    IntegerField,
    Model,
    QuerySet,
    TextField,
    Value,
)
from django.db.models.functions import Cast

# Of more rows than these a fleet is read: there the tables' own statements are quicker, and a
# database takes only so many values in one.
FEW = 200
ARM = "arm"
# A date and time is a date to Python, and a column of its own to a database: it comes first.
KINDS: "tuple[tuple[type[Field[Any, Any]], str], ...]" = (
    (DateTimeField, "moment"),
    (DateField, "day"),
    (BooleanField, "flag"),
    (FloatField, "float"),
    (IntegerField, "number"),
    (TextField, "text"),
)
MADE: "dict[str, type[Field[Any, Any]]]" = {name: field for field, name in KINDS}


def fetch_together(*asked: QuerySet[Any], few: bool = True) -> list[list[Any]]:
    """Return the rows of each queryset, in one statement where they are few.

    They come in the order of their keys. What a queryset says of order or of related rows is
    left out, and so are annotations: they are plain rows.
    """
    arms = [rows.order_by().select_related(None) for rows in asked]
    if not few:
        return [list(rows.order_by("pk")) for rows in arms]
    slots = [_slots(rows.model) for rows in arms]
    names = sorted({slot for those in slots for slot in those.values()})
    united = [
        _arm(rows, number, those, names)
        for number, (rows, those) in enumerate(zip(arms, slots, strict=True))
    ]
    found: list[list[Any]] = [[] for _rows in arms]
    at = {name: place for place, name in enumerate(names, start=1)}
    readers = [
        (rows.model, list(those), [at[slot] for slot in those.values()])
        for rows, those in zip(arms, slots, strict=True)
    ]
    for row in united[0].union(*united[1:], all=True):
        model, fields, places = readers[row[0]]
        made = model.from_db(connection.alias, fields, [row[place] for place in places])
        found[row[0]].append(made)
    for rows in found:
        rows.sort(key=lambda one: one.pk)
    return found


def _slots(model: type[Model]) -> dict[str, str]:
    """Give each column of a table the next slot of its kind."""
    numbers = {name: count() for _field, name in KINDS}
    return {
        field.attname: f"{(kind := _kind(field))}_{next(numbers[kind])}"
        for field in model._meta.concrete_fields
    }


def _kind(field: "Field[Any, Any]") -> str:
    """Say of what kind a column is; a key is as what it points to."""
    while field.remote_field is not None:
        field = field.target_field  # type: ignore[attr-defined]
    if field.get_internal_type() in ("CharField", "SlugField", "EmailField"):
        return "text"
    for kind, name in KINDS:
        if isinstance(field, kind):
            return name
    raise TypeError(f"{field}: columns of this kind are not fetched together")


def _arm(
    rows: QuerySet[Any], number: int, slots: dict[str, str], names: Sequence[str]
) -> "QuerySet[Any, Any]":
    column = {slot: attname for attname, slot in slots.items()}
    told = {
        # by its type in each arm: a database takes it from the first two that it meets
        name: F(column[name]) if name in column else Cast(Value(None), MADE[name.split("_")[0]]())
        for name in names
    }
    united: QuerySet[Any, Any] = rows.annotate(
        **{ARM: Value(number, IntegerField())}, **told
    ).values_list(ARM, *names)
    return united
