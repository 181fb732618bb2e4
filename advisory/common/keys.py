"""Many keys in one condition."""

from collections.abc import Collection

from django.db import connection
from django.db.models.expressions import RawSQL

from advisory.common.together import FEW


def among(keys: Collection[int]) -> Collection[int] | RawSQL:
    """Return what stands on the right of `__in` for keys: where they are many, one value for all.

    A statement that names each key takes as long to write as it takes to answer, and a database
    takes only so many.
    """
    if len(keys) <= FEW:
        return keys
    named = ",".join(map(str, map(int, keys)))
    if connection.vendor == "postgresql":
        return RawSQL("SELECT unnest(%s::bigint[])", ["{" + named + "}"])
    return RawSQL("SELECT value FROM json_each(%s)", [f"[{named}]"])
