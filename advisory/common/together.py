"""Rows of several tables in one statement, for a page that needs a little of each.

A page of one unit asks for a handful of rows from each of a dozen tables; what it waits for is the
way to the database and back. `fetch_together` goes once: the querysets become the arms of one
``UNION ALL``, each column in a slot of its kind, empty where an arm has none. Each arm keeps its
own conditions, so that it is as narrow as by itself.
"""

from collections.abc import Iterable
from functools import cache
from itertools import count
from typing import Any, NamedTuple

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import (
    BooleanField,
    DateField,
    DateTimeField,
    Field,
    FloatField,
    IntegerField,
    Model,
    QuerySet,
    TextField,
)

from advisory.common.bare_rows import read_row

# Of more units or cars than these a fleet is read: there the tables' own statements are quicker,
# and a database takes only so many values in one.
FEW = 50
# A date and time is a date to Python, and a column of its own to a database: it comes first.
KINDS: "tuple[tuple[type[Field[Any, Any]], str], ...]" = (
    (DateTimeField, "moment"),
    (DateField, "day"),
    (BooleanField, "flag"),
    (FloatField, "float"),
    (IntegerField, "number"),
    (TextField, "text"),
)


class Arm(NamedTuple):
    """How the rows of one table stand among those of the others."""

    # the number of the arm and all the slots, to be selected from the table's own statement
    select: str
    # of each field, which of those it stands in
    places: tuple[int, ...]


def fetch_together(*asked: QuerySet[Any], few: bool = True) -> list[list[Any]]:
    """Return the rows of each queryset, in one statement where they are few.

    They come in the order of their keys. What a queryset says of order or of related rows is
    left out, and so are annotations: they are plain rows.
    """
    wanted = [rows.order_by().select_related(None) for rows in asked]
    if not few:
        return [_read(rows) for rows in wanted]
    arms = _arms(tuple(rows.model for rows in wanted), connection.vendor)
    compilers = [rows.query.get_compiler(connection=connection) for rows in wanted]
    statements, values = [], []
    for number, (arm, compiler) in enumerate(zip(arms, compilers, strict=True)):
        try:
            statement, params = compiler.as_sql()
        except EmptyResultSet:
            continue
        # every part was written by the database layer; what people typed is in the values
        statements.append(f"SELECT {arm.select} FROM ({statement}) arm_{number}")  # noqa: S608
        values += params
    found: list[list[Any]] = [[] for _rows in wanted]
    if not statements:
        return found
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(statements), values)
        for row in cursor.fetchall():
            found[row[0]].append([row[place] for place in arms[row[0]].places])
    return [
        _made(rows.model, compiler, told)
        for rows, compiler, told in zip(wanted, compilers, found, strict=True)
    ]


def _read(rows: QuerySet[Any]) -> list[Any]:
    """Read the rows of a table by its own statement, without anything that was annotated."""
    names = [field.attname for field in rows.model._meta.concrete_fields]
    return [read_row(rows.model, told) for told in rows.order_by("pk").values_list(*names)]


def _made(model: type[Model], compiler: Any, told: list[list[Any]]) -> list[Any]:
    """Make rows of what a database told, as its own statement would have."""
    rows: Iterable[Any] = told
    # what was annotated comes after the table's own columns
    own = [column for column, *_sql in compiler.select[: len(model._meta.concrete_fields)]]
    if told and (converters := compiler.get_converters(own)):
        rows = compiler.apply_converters(told, converters)
    return sorted((read_row(model, row) for row in rows), key=lambda one: one.pk)


@cache
def _arms(models: tuple[type[Model], ...], _vendor: str) -> tuple[Arm, ...]:
    """Give each column of each table the next slot of its kind."""
    slots = [_slots(model) for model in models]
    names = sorted({slot for those in slots for slot in those})
    at = {name: place for place, name in enumerate(names, start=1)}
    # by its type in each arm: a database takes it from the first two that it meets
    empty = {name: f"CAST(NULL AS {_type_of(name)})" for name in names}
    quote = connection.ops.quote_name
    arms = []
    for number, those in enumerate(slots):
        columns = {slot: quote(str(field.column)) for slot, field in those.items()}
        told = [f"{columns.get(name, empty[name])} AS {name}" for name in names]
        arms.append(
            Arm(
                ", ".join([f"{number} AS arm", *told]),
                tuple(at[slot] for slot in those),
            )
        )
    return tuple(arms)


def _slots(model: type[Model]) -> "dict[str, Field[Any, Any]]":
    numbers = {name: count() for _field, name in KINDS}
    return {
        f"{(kind := _kind(field))}_{next(numbers[kind])}": field
        for field in model._meta.concrete_fields
    }


def _type_of(slot: str) -> str:
    fields = {name: field for field, name in KINDS}
    return str(fields[slot.split("_", maxsplit=1)[0]]().db_type(connection))


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
