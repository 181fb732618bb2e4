"""What is known of units where the choice of their oil is concerned; constant queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.measured import Measured, clearances_measured
from advisory.lubrication.models import Lubricant, OilService
from advisory.lubrication.queries import OilInUnit, oils_of
from advisory.people.models import Person
from advisory.register.enums import MeasuredQuantity, PositionKind
from advisory.register.models import Design, Position, Unit
from advisory.register.queries import as_built_of


@dataclass(frozen=True)
class BearingGround:
    """A journal bearing of a unit with its running clearances (m); None is not known.

    `measured` was measured since it was built last.
    """

    position: Position
    as_built: float | None
    measured: Measured | None


@dataclass(frozen=True)
class ChoiceGround:
    """All that is known of a unit where its oil is to be chosen.

    `lubricants` are the generic ones, and what is in it; `built_on` is the day of its last signed
    sheet, `flushed_on` that of its last flush.
    """

    unit: Unit
    design: Design
    oil: OilInUnit
    lubricants: Sequence[Lubricant]
    bearings: Sequence[BearingGround]
    positions: Sequence[Position]
    built_on: date | None
    flushed_on: date | None

    def of_kind(self, kind: PositionKind) -> list[Position]:
        """Return the positions of a kind."""
        return [position for position in self.positions if position.kind == kind]

    @property
    def only_typical(self) -> bool:
        """Whether its sizes are typical of its kind, and nobody has measured any as built."""
        return self.design.workshop_id is None and self.built_on is None

    @property
    def owner_alone(self) -> bool:
        """Whether it rests on what the owner has told nobody else."""
        return any(b.measured is not None and b.measured.owner_alone for b in self.bearings)

    def speed_at(self, position: Position) -> float | None:
        """Return the speed of what turns at a position, at the engine's usual one [rev/s]."""
        if self.design.engine_speed is None:
            return None
        ratio = position.speed_ratio
        return self.design.engine_speed * (self.design.speed_ratio if ratio is None else ratio)


def grounds_of(units: Sequence[Unit], by: Person | None = None) -> dict[int, ChoiceGround]:
    """Return the ground of each unit by its key; with `by`, as far as that person may see.

    Select `design` related. A job passes nobody, and shows nothing to anybody.
    """
    records, oils = as_built_of(units), oils_of(units)
    measured = clearances_measured(units, by)
    generic = list(Lubricant.objects.exclude(code=""))
    flushed = dict(
        OilService.objects.filter(unit__in=units, kind=ServiceKind.FLUSH)
        .order_by("date", "pk")
        .values_list("unit_id", "date")
    )
    grounds = {}
    for unit in units:
        record, oil = records[unit.pk], oils[unit.pk]
        built_on = record.build.built_on if record.build else None
        grounds[unit.pk] = ChoiceGround(
            unit=unit,
            design=unit.design,
            oil=oil,
            lubricants=_with_own(generic, oil),
            bearings=[
                BearingGround(
                    position=row.position,
                    as_built=row.measurement.value if row.measurement else None,
                    measured=_since(built_on, measured, unit, row.position),
                )
                for row in record.rows
                if row.quantity == MeasuredQuantity.RUNNING_CLEARANCE
            ],
            positions=[row.position for row in record.rows],
            built_on=built_on,
            flushed_on=flushed.get(unit.pk),
        )
    return grounds


def _since(
    built_on: date | None,
    measured: Mapping[tuple[int, int], Measured],
    unit: Unit,
    position: Position,
) -> Measured | None:
    """Return what was measured at a position, unless it was built anew since."""
    found = measured.get((unit.pk, position.pk))
    if found is None or (built_on is not None and found.on < built_on):
        return None
    return found


def _with_own(generic: Sequence[Lubricant], oil: OilInUnit) -> list[Lubricant]:
    there = {row.pk for row in generic}
    own = {row.pk: row for row in (oil.prescribed, oil.lubricant) if row is not None}
    return [*generic, *(row for pk, row in own.items() if pk not in there)]
