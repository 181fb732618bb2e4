"""How a database is asked whether one of the ways to a person is open on a row.

`rules.py` says which ways there are. Here each is written as near to the row as it can be: of the
row's own columns where they tell, else of the row that it hangs on, so that a reader's whole reach
need not be gathered, nor a table joined to itself, to look at one row.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db.models import Exists, F, Field, Model, OuterRef, Q
from django.db.models.constants import LOOKUP_SEP

from advisory.people.enums import ConsentScope
from advisory.people.models import Consent

# What a consent must be to stand.
STANDING: Mapping[str, Any] = {
    "scope": ConsentScope.RECORDS,
    "withdrawn_at": None,
    "person__is_active": True,
}


@dataclass(frozen=True)
class WayIn:
    """What a row must be for one way to be open.

    Parameters
    ----------
    where
        Lookups on the row, all of them held by the same related rows.
    consent
        Lookup paths to the workshop to which, and to the owner whose consent must stand.
    """

    where: Mapping[str, Any]
    consent: tuple[str, str] | None = None


def any_open(model: type[Model], ways: Iterable[WayIn]) -> Q | None:
    """Ask a row of `model` whether any of some ways is open; None: there is none to be so.

    No way over many rows doubles it. Each way is a question of its own, in which nothing is asked
    by "or": a database may then begin with the row, or gather a way's rows once for many.
    """
    asked = [_open(model, way) for way in ways]
    return reduce(or_, asked) if asked else None


def _open(model: type[Model], way: WayIn) -> Q:
    if step := _step(model, way):
        own = {path: to for path, to in way.where.items() if not _leads_over(step, path)}
        related: Any = model._meta.get_field(step).related_model
        there = related._base_manager.filter(_open(related, _beyond(step, way)))
        return Q(**own) & Q(Exists(there.filter(pk=OuterRef(step))))
    if all(_own_column(model, path) for path in _paths(way)):
        return _direct(way)
    held = model._base_manager.filter(_joined(way))
    return Q(Exists(held.filter(pk=OuterRef("pk"))))


def _direct(way: WayIn) -> Q:
    """Ask a row whose own columns tell of a way."""
    if way.consent is None:
        return Q(**way.where)
    workshop, owner = way.consent
    standing = Consent.objects.filter(
        organisation=OuterRef(workshop), person=OuterRef(owner), **STANDING
    )
    return Q(**way.where) & Q(Exists(standing))


def _joined(way: WayIn) -> Q:
    """Ask by joining all that a way leads over, so that each path means the same related row."""
    if way.consent is None:
        return Q(**way.where)
    workshop, owner = way.consent
    # all in one filter: its workshop, a consent to it, of this row's owner
    consented = {"person": F(owner), **STANDING}
    return Q(**way.where, **{f"{workshop}__consents__{path}": to for path, to in consented.items()})


def _paths(way: WayIn) -> list[str]:
    """Return every path that a way names."""
    return [*way.where, *(path for pair in _pairs(way) for path in pair)]


def _pairs(way: WayIn) -> list[tuple[str, str]]:
    """Return the paths that are held against one another, pair by pair."""
    compared = [(path, _path_of(to)) for path, to in way.where.items() if isinstance(to, F)]
    return [*compared, way.consent] if way.consent else compared


def _path_of(reference: Any) -> str:
    return str(reference.name)


def _own_column(model: type[Model], path: str) -> bool:
    """Whether a path ends in the row itself; it may go on to say how that is compared."""
    name, _sep, comparison = path.partition(LOOKUP_SEP)
    field = _column(model, name)
    return field is not None and (not comparison or field.get_lookup(comparison) is not None)


def _column(model: type[Model], name: str) -> "Field[Any, Any] | None":
    if name == "pk":
        return model._meta.pk
    try:
        field = model._meta.get_field(name)
    except FieldDoesNotExist:
        return None
    return field if isinstance(field, Field) and field.concrete else None


def _step(model: type[Model], way: WayIn) -> str | None:
    """Return the one related row on which all hangs that isn't told by the row's own columns."""
    further = [path for path in _paths(way) if not _own_column(model, path)]
    steps = {path.partition(LOOKUP_SEP)[0] for path in further}
    if len(steps) != 1:
        return None
    (step,) = steps
    field = _column(model, step)
    if field is None or not (field.many_to_one or field.one_to_one):
        return None
    # what is held against one another must stay together
    told = [path for pair in _pairs(way) for path in pair]
    return step if all(_leads_over(step, path) for path in told) else None


def _leads_over(step: str, path: str) -> bool:
    return path.startswith(f"{step}{LOOKUP_SEP}")


def _beyond(step: str, way: WayIn) -> WayIn:
    """Return a way as it goes on from the row that `step` leads to."""
    length = len(step) + len(LOOKUP_SEP)
    where = {
        path[length:]: F(_path_of(to)[length:]) if isinstance(to, F) else to
        for path, to in way.where.items()
        if _leads_over(step, path)
    }
    consent = None
    if way.consent is not None:
        consent = (way.consent[0][length:], way.consent[1][length:])
    return WayIn(where, consent)
