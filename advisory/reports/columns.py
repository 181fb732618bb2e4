"""Rows of the database as columns of numbers: a hundred thousand in a fraction of a second.

PostgreSQL strings all rows together into one value of binary numbers, which numpy reads as it lies
(row by row, or by COPY, the client would spend longer on the rows than the server); SQLite hands
them over row by row. Everything becomes a double: keys are exact up to 2^53, days are proleptic
ordinals, a missing value is NaN.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from enum import Enum
from typing import Any, TypeVar

import numpy as np
from django.db import connections
from django.db.models import (
    BigIntegerField,
    BooleanField,
    Case,
    Expression,
    F,
    FloatField,
    Func,
    IntegerField,
    Model,
    QuerySet,
    Value,
    When,
)
from django.db.models.functions import Cast, Coalesce
from numpy.typing import NDArray

Made = TypeVar("Made")
Column = NDArray[np.float64]
# No column holds it: what is missing travels so. It is the same as a whole number and as a double.
MISSING = -(2**62)


class Days(Func):
    """A date as its proleptic ordinal."""

    output_field = IntegerField()

    def as_sqlite(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Write it for SQLite, whose days begin at noon of 4714 B.C."""
        return self.as_sql(
            compiler, connection, template="(julianday(%(expressions)s) - 1721424.5)", **extra
        )

    def as_postgresql(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Write it for PostgreSQL."""
        return self.as_sql(
            compiler, connection, template="((%(expressions)s) - DATE '0001-01-01' + 1)", **extra
        )


class Among(Func):
    """Whether a key is one of very many: as one array, which the database hashes once."""

    output_field = BooleanField()
    conditional = True

    def __init__(self, path: str, keys: Column | NDArray[np.int64]) -> None:
        """Take the keys; one parameter in all."""
        self.keys = ",".join(map(str, keys.astype(np.int64).tolist()))
        super().__init__(F(path))

    def _written(self, compiler: Any, connection: Any, template: str, keys: Any) -> Any:
        sql, params = compiler.compile(self.get_source_expressions()[0])
        return template % sql, [*params, keys]

    def as_sqlite(self, compiler: Any, connection: Any, **_extra: Any) -> Any:
        """Write it for SQLite."""
        keys = f"[{self.keys}]"
        return self._written(
            compiler, connection, "(%s IN (SELECT value FROM json_each(%%s)))", keys
        )

    def as_postgresql(self, compiler: Any, connection: Any, **_extra: Any) -> Any:
        """Write it for PostgreSQL."""
        keys = f"{{{self.keys}}}"
        return self._written(compiler, connection, "(%s = ANY(%%s::bigint[]))", keys)


class PlaceOf:
    """The places of rising keys, looked up many at a time; -1 for what is not among them.

    Keys that are not much more than there are of them are looked up in a table, others searched.
    """

    def __init__(self, keys: Column | NDArray[np.int64]) -> None:
        """Take keys, each once, rising."""
        self.keys = keys
        self._whole = keys.astype(np.int64)
        self._table: NDArray[np.int64] | None = None
        if keys.size and self._whole[0] >= 0 and self._whole[-1] < 8 * keys.size + 1_000:
            self._table = np.full(int(self._whole[-1]) + 2, -1, dtype=np.int64)
            self._table[self._whole] = np.arange(keys.size)

    def __call__(self, wanted: Column | NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the place of each."""
        whole = wanted.astype(np.int64)
        if not self._whole.size:
            return np.full(whole.shape, -1, dtype=np.int64)
        if self._table is not None:
            last = self._table.size - 1  # where nothing is
            inside = (whole >= 0) & (whole < last)
            return self._table[np.where(inside, whole, last)]
        place = np.minimum(np.searchsorted(self._whole, whole), self._whole.size - 1)
        return np.where(self._whole[place] == whole, place, -1)


@dataclass(frozen=True)
class Reader:
    """Reads the rows of some keys; where these are `most`, all rows, and leaves the others'.

    A database looks each row's key up among a hundred thousand, which takes longer than to hand
    over the rows.
    """

    most: bool

    def read(
        self, rows: QuerySet[Any], path: str, keys: PlaceOf, **wanted: str | Expression
    ) -> dict[str, Any]:
        """Read columns, and in `place` where among `keys` that which `path` leads to stands."""
        asked = rows if self.most else rows.filter(Among(path, keys.keys))
        table = read(asked, place=path, **wanted)
        place = keys(np.nan_to_num(table.pop("place"), nan=-1.0))
        if self.most and not (there := place >= 0).all():
            return {"place": place[there]} | {name: each[there] for name, each in table.items()}
        return {"place": place} | table


def in_order(*columns: NDArray[Any]) -> NDArray[np.int64]:
    """Return the order of rows by columns of whole numbers, the first first; as `numpy.lexsort`.

    One number a row is sorted many times faster than several, so they are packed into one where
    they fit.
    """
    if not columns[0].size:
        return np.zeros(0, dtype=np.int64)
    key = packed(*columns)
    return np.lexsort(columns[::-1]) if key is None else np.argsort(key)


def ranked(*columns: NDArray[Any]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the place of each row among the different rows, and the order of the rows."""
    order = in_order(*columns)
    anew = np.zeros(order.size, dtype=bool)
    for column in columns:
        arranged = column[order]
        anew[1:] |= arranged[1:] != arranged[:-1]
    place = np.empty(order.size, dtype=np.int64)
    place[order] = np.cumsum(anew)
    return place, order


def packed(*columns: NDArray[Any]) -> NDArray[np.int64] | None:
    """Pack rows of whole numbers into one number each, in the same order; None: they don't fit."""
    key = np.zeros(columns[0].size, dtype=np.int64)
    room = 1
    for column in columns:
        low, high = column.min(), column.max()
        if not (math.isfinite(low) and math.isfinite(high)):
            return None
        width = int(high) - int(low) + 1
        room *= width
        if room >= 1 << 62:
            return None
        key *= width
        key += column.astype(np.int64) - int(low)
    return key


def places_among(keys: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return which keys there are, rising, and the place of each among them; none below nought."""
    present = distinct(keys)
    return present, PlaceOf(present)(keys)


def distinct(keys: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return which keys there are, rising. `numpy.unique` hashes them, and takes ten times as long.

    Keys that are not much more than there are of them are ticked off, others sorted.
    """
    if not keys.size:
        return keys
    if keys.min() >= 0 and keys.max() < 8 * keys.size + 1_000:
        return np.flatnonzero(np.bincount(keys))
    arranged = np.sort(keys)
    anew = np.append(True, arranged[1:] != arranged[:-1])
    return np.asarray(arranged[anew])


def two_at_once(work: Callable[..., Made], *each: Iterable[Any]) -> Iterator[Made]:
    """Do the same to each, in two threads: while numpy sorts one, another's turn has come."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        yield from pool.map(work, *each)


def code_of(path: str, kinds: type[Enum]) -> Case:
    """Return the place of a word in its enum; missing for any other."""
    places = (When(**{path: kind.value}, then=Value(i)) for i, kind in enumerate(kinds))
    return Case(*places, output_field=IntegerField())


def flag_of(path: str) -> Case:
    """Return 1 for yes, 0 for no; missing for neither."""
    return Case(
        When(**{path: True}, then=Value(1)),
        When(**{path: False}, then=Value(0)),
        output_field=IntegerField(),
    )


def read(rows: QuerySet[Any], **wanted: str | Expression) -> dict[str, Column]:
    """Read columns of a queryset, by their names; one SQL query."""
    asked = {name: F(each) if isinstance(each, str) else each for name, each in wanted.items()}
    whole = {name: _is_whole(rows, each) for name, each in asked.items()}
    fields = {}
    for name, each in asked.items():
        field = BigIntegerField() if whole[name] else FloatField()
        fields[name] = Coalesce(Cast(each, field), Value(MISSING, output_field=field))
    slots = {f"column_{name}": field for name, field in fields.items()}
    query = rows.order_by().annotate(**slots).values_list(*slots)
    table = _table(query, {f"column_{name}": whole[name] for name in fields})
    for column in table:
        column[column == MISSING] = np.nan
    return dict(zip(wanted, table, strict=True))


def _is_whole(rows: QuerySet[Any], asked: Any) -> bool:
    """Say whether a column holds whole numbers: a database writes them down in half the time."""
    field = asked.resolve_expression(rows.query.clone()).output_field
    while field.remote_field is not None:
        field = field.target_field
    return isinstance(field, IntegerField)


def _table(
    query: "QuerySet[Model, Sequence[Any]]", is_whole: dict[str, bool]
) -> list[NDArray[np.float64]]:
    """Return the columns of a query, each by itself and whole in memory."""
    sql, params = query.query.sql_with_params()
    connection = connections[query.db]
    if connection.vendor == "postgresql":
        row = " || ".join(
            f'{"int8send" if whole else "float8send"}(c."{name}")'
            for name, whole in is_whole.items()
        )
        # names and query are our own; what people typed travels as parameters
        strung = f"SELECT string_agg({row}, ''::bytea) FROM ({sql}) AS c"  # noqa: S608
        data = _in_binary(connection, strung, params)
        kinds = [(name, ">i8" if whole else ">f8") for name, whole in is_whole.items()]
        rows = np.frombuffer(data or b"", dtype=kinds)
        return [rows[name].astype(np.float64) for name in is_whole]
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        found = cursor.fetchall()
    table = np.array(found, dtype=np.float64).reshape(len(found), len(is_whole))
    return list(np.ascontiguousarray(table.T))


def _in_binary(connection: Any, sql: str, params: Sequence[Any]) -> bytes | None:
    """Ask PostgreSQL for one value as it lies: written in digits it takes twice the time."""
    from django.db.backends.postgresql.base import ServerBindingCursor
    from psycopg.pq import Format

    with connection.cursor() as cursor:
        written = cursor.mogrify(sql, params)
    asking: Any = ServerBindingCursor
    asking = asking(connection.connection)
    asking.format = Format.BINARY
    with connection.make_cursor(asking) as cursor:
        cursor.execute(written)
        data: bytes | None = cursor.fetchone()[0]
    return data


def day(path: str) -> Days:
    """Return a date's ordinal."""
    return Days(F(path))
