"""What is known of units where their oil is concerned; a constant number of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from advisory.common.keys import among
from advisory.lubrication.adapters.assumed import MEAN_SPEED, RUNNING_IN_MARKS
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilService
from advisory.lubrication.queries import OilInUnit
from advisory.register.enums import BuildState, Roads, UnitKind, WorkKind
from advisory.register.models import Build, MaintenanceInstruction, Unit
from advisory.usage.use import UnitUse


@dataclass(frozen=True)
class Situation:
    """One unit: its oil, its car's use, what the workshop says. SI; None is 'not known'.

    `distance_since_rebuild` is counted to the day on which the present oil went in, and None for a
    unit without new white metal: it counts as run in.
    """

    unit_id: int
    kind: UnitKind
    oil: OilInUnit
    in_car: bool
    roads: str = Roads.SEALED
    short_run_share: float = 0.0
    annual_distance: float | None = None
    distance_since_rebuild: float | None = None
    workshop_distance: float | None = None
    workshop_months: int | None = None
    mean_speed: float | None = None


def situations_of(
    units: Sequence[Unit],
    *,
    uses: Mapping[int, UnitUse],
    oils: Mapping[int, OilInUnit],
    todays: Mapping[int, date],
) -> list[Situation]:
    """Return the situation of each unit, in the order given, in three queries.

    Select `design` related.
    """
    ids = [unit.pk for unit in units]
    designs = {unit.design_id for unit in units}
    instructions = {
        row.design_id: row
        for row in MaintenanceInstruction.objects.filter(
            design__in=designs, work=WorkKind.OIL_CHANGE
        )
    }
    rows = Build.objects.filter(unit__in=among(ids), state=BuildState.SIGNED, new_white_metal=True)
    rebuilt = dict(rows.order_by("built_on").values_list("unit_id", "built_on"))
    changes: dict[int, list[date]] = {unit_id: [] for unit_id in ids}
    services = OilService.objects.filter(unit__in=among(rebuilt), kind=ServiceKind.CHANGE)
    for unit_id, day in services.order_by("date").values_list("unit_id", "date"):
        if day >= rebuilt[unit_id]:
            changes[unit_id].append(day)
    situations = []
    for unit in units:
        use, instruction = uses[unit.pk], instructions.get(unit.design_id)
        car = use.current
        situations.append(
            Situation(
                unit_id=unit.pk,
                kind=UnitKind(unit.design.kind),
                oil=oils[unit.pk],
                in_car=car is not None,
                roads=car.car.roads if car else Roads.SEALED,
                short_run_share=car.car.short_run_share if car else 0.0,
                annual_distance=_annual_distance(use, todays[unit.pk]),
                distance_since_rebuild=_since_rebuild(use, rebuilt.get(unit.pk), changes[unit.pk]),
                workshop_distance=_by_workshop(instruction, use),
                workshop_months=instruction.months if instruction else None,
                mean_speed=use.mean_speed,
            )
        )
    return situations


def _by_workshop(instruction: MaintenanceInstruction | None, use: UnitUse) -> float | None:
    """Return the distance that the workshop sets, by itself or by the hours that it comes to."""
    if instruction is None:
        return None
    limits = [instruction.distance]
    if instruction.hours is not None:
        limits.append(instruction.hours * (use.mean_speed or MEAN_SPEED))
    return min((limit for limit in limits if limit is not None), default=None)


def _annual_distance(use: UnitUse, today: date) -> float | None:
    """Return metres a year as far as anything tells them: a default would be no knowledge."""
    car = use.current
    if car is None:
        return None
    if len(car.trace.believed) < 2 and car.car.expected_annual_distance is None:
        return None
    return car.annual_distance(today)


def _since_rebuild(use: UnitUse, rebuilt: date | None, changes: Sequence[date]) -> float | None:
    """Return the distance from the rebuild to the day on which the present oil went in."""
    if rebuilt is None:
        return None
    if not changes:
        return 0.0
    known = use.since(rebuilt, until=changes[-1])
    if known is not None:
        return known
    # distance can't tell how far running-in has come, so the number of changes does
    return RUNNING_IN_MARKS[len(changes)] if len(changes) < len(RUNNING_IN_MARKS) else None
