"""Moving, adding and removing rows of a form before anything of it is kept."""

from collections.abc import Iterable

from django.http import QueryDict

UP, DOWN, REMOVE, MORE = "row-up", "row-down", "row-remove", "more"


def rearranges(posted: QueryDict) -> bool:
    """Say whether a form was sent only to rearrange its rows."""
    return any(name in posted for name in (UP, DOWN, REMOVE, MORE))


def rows_typed(
    posted: QueryDict,
    prefix: str,
    names: Iterable[str],
    *,
    most: int,
    untouched: Iterable[str] = (),
) -> list[dict[str, str]]:
    """Return what was typed into the rows of a set, rearranged as its button said.

    Rows at the end in which nothing stands but `untouched` are dropped.
    """
    fields = list(names)
    told = posted.get(f"{prefix}-TOTAL_FORMS", "")
    count = min(int(told), most) if str(told).isdecimal() and len(str(told)) < 6 else 0
    rows = [
        {name: str(posted.get(f"{prefix}-{number}-{name}", "")) for name in fields}
        for number in range(count)
    ]
    number = _pressed(posted, UP, count)
    if number is not None and number > 0:
        rows[number - 1], rows[number] = rows[number], rows[number - 1]
    number = _pressed(posted, DOWN, count)
    if number is not None and number < count - 1:
        rows[number + 1], rows[number] = rows[number], rows[number + 1]
    number = _pressed(posted, REMOVE, count)
    if number is not None:
        del rows[number]
    blank = {"", *untouched}
    while rows and set(rows[-1].values()) <= blank:
        rows.pop()
    return rows


def _pressed(posted: QueryDict, button: str, count: int) -> int | None:
    told = posted.get(button, "")
    number = int(told) if str(told).isdecimal() and len(str(told)) < 6 else count
    return number if number < count else None
