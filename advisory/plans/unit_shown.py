"""A unit with its plan as a reader sees it; many at once in a constant number of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from advisory.lubrication.queries import OilInUnit, oils_of
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.actions import refresh_plans
from advisory.plans.enums import DueState
from advisory.plans.queries import Halt, halts_of, plans_of, urgency
from advisory.plans.shown import ItemShown, show_item, then_words
from advisory.plans.words import day_words
from advisory.register.models import Car, Unit
from advisory.usage.models import LayUp
from advisory.usage.queries import unit_uses_of
from advisory.usage.use import UnitUse


@dataclass(frozen=True)
class UnitShown:
    """A unit with its plan; `keeps`: the reader may write down what was done."""

    unit: Unit
    items: Sequence[ItemShown]
    halts: Sequence[Halt]
    use: UnitUse
    oil: OilInUnit
    today: date
    keeps: bool
    alone: bool = True

    @property
    def next(self) -> ItemShown | None:
        """What it needs next; nothing where all rests, or is far off while the car is laid up."""
        first = next((shown for shown in self.items if not shown.rests), None)
        if first is not None and self.lay_up and first.item.state == DueState.AHEAD:
            return None
        return first

    @property
    def lay_up(self) -> LayUp | None:
        """The lay-up that its car is in."""
        return self.use.current.laid_up(self.today) if self.use.current else None

    @property
    def rest(self) -> list[ItemShown]:
        """The rest of its plan."""
        return [shown for shown in self.items if shown is not self.next]

    @property
    def car(self) -> Car | None:
        """The car that it is in."""
        return self.use.current.car if self.use.current else None

    @property
    def question(self) -> str:
        """What is answered; beside others, only of which unit."""
        if not self.alone:
            return (
                _("%(unit)s, in the %(car)s")
                % {
                    "unit": self.unit,
                    "car": self.car,
                }
                if self.car
                else str(self.unit)
            )
        if self.car is None:
            return _("%(unit)s: what does it need next?") % {"unit": self.unit}
        return _("%(unit)s, in the %(car)s: what does it need next?") % {
            "unit": self.unit,
            "car": self.car,
        }

    @property
    def then(self) -> str:
        """What comes after the next thing."""
        return then_words(self.rest, self.today)

    @property
    def nothing_words(self) -> str:
        """Say why nothing is due."""
        if self.use.current is None:
            return _("It is in no car: its plan rests until it runs.")
        if (lay_up := self.lay_up) is not None:
            return _("Laid up since %(day)s: its plan rests until it is back.") % {
                "day": day_words(lay_up.from_date)
            }
        return _("There is nothing to count from yet: enter the odometer.")

    @property
    def pressing_first(self) -> tuple[bool, int, date, int]:
        """What orders units: those that must not run, then the nearest thing."""
        if self.next is None:
            return (not self.halts, 9, date.max, 0)
        return (not self.halts, *urgency(self.next.item))


def show_units(
    units: Sequence[Unit],
    by: Person,
    *,
    keeps: bool,
    halts: Mapping[int, list[Halt]] | None = None,
) -> list[UnitShown]:
    """Put the plans of several units in words, in a constant number of queries.

    `halts` are given by who has reckoned them already.
    """
    plans = plans_of(units)
    if missing := [pk for pk, items in plans.items() if not items]:
        # a unit whose first reckoning was lost with a process that died
        refresh_plans(units=missing)
        plans = plans_of(units)
    uses, oils = unit_uses_of(units), oils_of(units)
    if halts is None:
        halts = halts_of(units, by)
    prefs, today = preferences_of(by), today_of(by)
    return [
        UnitShown(
            unit=unit,
            items=[
                show_item(item, use=uses[unit.pk], oil=oils[unit.pk], today=today, prefs=prefs)
                for item in plans[unit.pk]
            ],
            halts=halts.get(unit.pk, []),
            use=uses[unit.pk],
            oil=oils[unit.pk],
            today=today,
            keeps=keeps,
            alone=len(units) == 1,
        )
        for unit in units
    ]
