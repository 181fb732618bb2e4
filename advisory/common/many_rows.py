"""Writing rows by the thousand: streamed to PostgreSQL, as it takes them quickest.

Values that stand in a statement are quoted one by one and read back one by one; what is streamed
is neither. Few rows, and those of another database, are written as always.
"""

import json
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django.db import IntegrityError, connection, transaction
from django.db.models import CharField, Field, JSONField, Model, QuerySet, TextField

Row = TypeVar("Row", bound=Model)
# Of fewer the two ways cost the same.
MANY = 50


def write_rows(model: type[Row], rows: Sequence[Row], *, leave_those_there: bool = False) -> None:
    """Add rows of a model; with `leave_those_there` those that are there already stay as they are.

    The rows don't learn their keys, and no signal is sent. All are written or none.

    Raises
    ------
    IntegrityError
        Where a row is there already.
    TypeError
        Of a model whose own manager watches over what is added: it would not be asked.
    """
    _refuse_watched(model)
    if _stays_small(rows):
        model._base_manager.bulk_create(rows, ignore_conflicts=leave_those_there)
        return
    fields = [field for field in model._meta.concrete_fields if not field.primary_key]
    try:
        with transaction.atomic():
            _stream(rows, fields, _named(model._meta.db_table))
    except IntegrityError:
        if not leave_those_there:
            raise
        # a stream can't pass over what is there already
        _stream_by_way(model, rows, fields, "ON CONFLICT DO NOTHING")


def write_rows_anew(model: type[Row], rows: Sequence[Row], names: Sequence[str]) -> None:
    """Write fields of rows that are there: as rows to add that meet themselves.

    It is a tenth of the work of an update that picks each row's values by its key.

    Raises
    ------
    TypeError
        As `write_rows` does.
    """
    _refuse_watched(model)
    if _stays_small(rows):
        model._base_manager.bulk_create(
            rows, update_conflicts=True, unique_fields=["pk"], update_fields=names
        )
        return
    fields = list(model._meta.concrete_fields)
    columns = [_column(field) for field in fields if field.name in names]
    taken = ", ".join(f"{column} = EXCLUDED.{column}" for column in columns)
    key = _column(model._meta.pk)
    _stream_by_way(model, rows, fields, f"ON CONFLICT ({key}) DO UPDATE SET {taken}")


def _refuse_watched(model: type[Model]) -> None:
    if type(model._default_manager.all()).bulk_create is not QuerySet.bulk_create:
        raise TypeError(f"{model.__name__} watches over its rows: add them by its manager.")


def _stays_small(rows: Sequence[Model]) -> bool:
    return connection.vendor != "postgresql" or len(rows) < MANY


@transaction.atomic
def _stream_by_way(
    model: type[Row], rows: Sequence[Row], fields: "Sequence[Field[Any, Any]]", where_there: str
) -> None:
    """Stream rows into a table of this connection alone, and from there to where they belong."""
    table = _named(model._meta.db_table)
    waiting = _named(f"waiting_{model._meta.db_table}")
    columns = ", ".join(map(_column, fields))
    # every part is a name out of a model
    as_there = f"SELECT {columns} FROM {table} WITH NO DATA"  # noqa: S608
    over = f"INSERT INTO {table} ({columns}) SELECT {columns} FROM {waiting} {where_there}"  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TEMPORARY TABLE {waiting} ON COMMIT DROP AS {as_there}")
        _stream(rows, fields, waiting)
        cursor.execute(over)
        cursor.execute(f"DROP TABLE {waiting}")


def _stream(rows: Sequence[Row], fields: "Sequence[Field[Any, Any]]", table: str) -> None:
    columns = ", ".join(map(_column, fields))
    values = [(field.attname, _streamed(field)) for field in fields]
    with (
        connection.cursor() as cursor,
        connection.wrap_database_errors,  # what it says at the end of a stream, too
        cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy,
    ):
        for row in rows:
            told = row.__dict__
            copy.write_row(
                [told[name] if as_told is None else as_told(told[name]) for name, as_told in values]
            )


def _named(name: str) -> str:
    return connection.ops.quote_name(name)


def _column(field: "Field[Any, Any]") -> str:
    return _named(str(field.column))


def _streamed(field: "Field[Any, Any]") -> Callable[[Any], Any] | None:
    """Return what makes of a field's value what is streamed; None where it goes as it is."""
    if isinstance(field, JSONField):
        encode = (field.encoder or json.JSONEncoder)().encode
        return lambda value: None if value is None else encode(value)
    if isinstance(field, CharField | TextField):
        # one of a list of choices is more than its text
        return lambda value: None if value is None else str(value)
    return None
