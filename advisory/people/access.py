"""How a row is reached by the people it concerns; each model declares it, rules.py reads it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Any


class Subject(Enum):
    """What a row is about; a permission is about one of these and opens no row of another."""

    UNIT = auto()
    DESIGN = auto()
    LUBRICANT = auto()
    ORGANISATION = auto()
    ACCOUNT = auto()


@dataclass(frozen=True)
class Access:
    """The ways that lead from a row to people.

    A model without one is seen by nobody.

    Parameters
    ----------
    subject
        What the row is about.
    owner
        Lookup path to the owner, a `Person`; "pk" for the person itself.
    workshop
        Lookup path to the workshop that built the unit, an `Organisation`; what it may see of a
        unit that has an owner depends on that owner's consent, so `owner` is needed beside it.
    workshop_where
        Further conditions on the way to the workshop (a fitting that still stands, say).
    as_built
        The row is part of the workshop's own record, which its members see without consent. Never
        set it on anything that tells how, where or by whom a unit is used.
    organisation
        Lookup path to the organisation whose own row this is; "pk" for the organisation itself.
    shared_where
        Rows that everybody signed in may look at; an empty mapping shares all of them.
    """

    subject: Subject = Subject.UNIT
    owner: str | None = None
    workshop: str | None = None
    workshop_where: Mapping[str, Any] = field(default_factory=dict)
    as_built: bool = False
    organisation: str | None = None
    shared_where: Mapping[str, Any] | None = None
