"""How a row is reached by the people it concerns; each model declares it, rules.py reads it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Access:
    """The ways that lead from a row to people.

    A model without one is seen by nobody.

    Parameters
    ----------
    owner
        Lookup path to the owner, a `Person`.
    workshop
        Lookup path to the workshop that built the unit, an `Organisation`; what it may see of a
        unit that has an owner depends on that owner's consent, so `owner` is needed beside it.
    workshop_where
        Further conditions on the way to the workshop (a fitting that still stands, say).
    organisation
        Lookup path to the organisation whose own row this is; "pk" for the organisation itself.
    shared_where
        Rows that everybody signed in may look at.
    """

    owner: str | None = None
    workshop: str | None = None
    workshop_where: Mapping[str, Any] = field(default_factory=dict)
    organisation: str | None = None
    shared_where: Mapping[str, Any] | None = None
