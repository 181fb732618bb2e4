"""Rows by the thousand, so many at once that memory stays small."""

from collections.abc import Iterable, Sequence
from itertools import islice
from typing import TypeVar

from django.db.models import Model

Row = TypeVar("Row", bound=Model)
AT_ONCE = 4000


def in_bulk(rows: Iterable[Row], model: type[Row], at_once: int = AT_ONCE) -> int:
    """Write rows as they come and forget them; return how many they were."""
    left, written = iter(rows), 0
    while chunk := list(islice(left, at_once)):
        model._default_manager.bulk_create(chunk)
        written += len(chunk)
    return written


def made_in_bulk(rows: Sequence[Row], model: type[Row], at_once: int = AT_ONCE) -> list[Row]:
    """Write rows and return them with their keys."""
    made: list[Row] = []
    for start in range(0, len(rows), at_once):
        made += model._default_manager.bulk_create(rows[start : start + at_once])
    return made
