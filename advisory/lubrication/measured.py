"""What was measured on units since they were built; the apps above answer, who keep it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisory.lubrication.signals import clearances_asked
from advisory.people.models import Person
from advisory.register.models import Unit


@dataclass(frozen=True)
class Measured:
    """A running clearance (m) as it was measured; `owner_alone`: it was told to nobody else."""

    value: float
    on: date
    owner_alone: bool = False


def clearances_measured(
    units: Sequence[Unit], by: Person | None
) -> dict[tuple[int, int], Measured]:
    """Return the newest running clearance by the keys of unit and position.

    With `by`, what that person may see; a job passes None and shows nothing to anybody.
    """
    newest: dict[tuple[int, int], Measured] = {}
    told: list[tuple[Any, Any]] = clearances_asked.send(sender=Unit, units=units, by=by)
    for _receiver, answer in told:
        for place, measured in answer.items():
            if place not in newest or newest[place].on <= measured.on:
                newest[place] = measured
    return newest
