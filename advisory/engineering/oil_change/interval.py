"""The oil-change interval: the least of its limits, for one unit or for a fleet at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.oil_change.ageing import ageing_life
from advisory.engineering.oil_change.assumptions import assumed
from advisory.engineering.oil_change.case import (
    FILTRATIONS,
    Columns,
    Filtration,
    OilChangeCase,
    columns,
)
from advisory.engineering.oil_change.dirt import (
    DirtLimit,
    dirt_limit,
    permitted_mass,
    use_factor,
    with_filtration,
)
from advisory.engineering.oil_change.result import (
    Alternative,
    Limit,
    LimitName,
    OilChangeInterval,
)

#: Name of the method, and its version: raise it with every change that changes a result.
METHOD = "oil-change"
METHOD_VERSION = "1"

#: Limits on the distance; where two are equal the first is named.
_ORDER: tuple[LimitName, ...] = ("workshop", "running-in", "dirt", "ageing")
_CALENDAR = len(_ORDER)
_NAMES: tuple[LimitName, ...] = (*_ORDER, "calendar")


def running_in_limit(table: Columns) -> FloatArray:
    """Distance to the next early change after a rebuild [m]; infinite once run in.

    A fill that goes in shortly before the distance of an early change counts as that change.
    """
    since = table.distance_since_rebuild
    limit = np.full(since.shape, np.inf)
    engine_marks = [assumed(f"running_in_{n}") for n in ("third", "second", "first")]
    for mark in engine_marks:
        ahead = ~table.gearbox & (since < mark * assumed("running_in_done_from"))
        limit = np.where(ahead, mark - since, limit)
    mark = assumed("gearbox_running_in")
    ahead = table.gearbox & (since < mark * assumed("running_in_done_from"))
    return np.where(ahead, mark - since, limit)


def calendar_limit(table: Columns) -> FloatArray:
    """Months that oil may stay in a unit, in whole months."""
    months = np.where(table.gearbox, assumed("gearbox_calendar_months"), assumed("calendar_months"))
    hardness = np.clip(use_factor(table), 1.0, assumed("hardest_use"))
    return np.floor(months / hardness + 1e-9)


@dataclass(frozen=True)
class _Limits:
    """The limits of many cases; infinite where one does not apply."""

    dirt: DirtLimit
    ageing: FloatArray
    running_in: FloatArray
    calendar: FloatArray
    workshop_distance: FloatArray
    workshop_months: FloatArray
    months_per_metre: FloatArray

    @property
    def distance(self) -> FloatArray:
        """The least distance [m]."""
        return np.asarray(np.min(self._distances(), axis=0))

    @property
    def months(self) -> FloatArray:
        """The fewest months."""
        return np.minimum(self.calendar, self.workshop_months)

    def _distances(self) -> FloatArray:
        return np.stack([self.workshop_distance, self.running_in, self.dirt.distance, self.ageing])

    def binding(self) -> NDArray[np.intp]:
        """Return the place in ``_NAMES`` of the limit that comes first."""
        by_distance = np.argmin(self._distances(), axis=0)
        by_months = np.where(
            self.workshop_months <= self.calendar, _ORDER.index("workshop"), _CALENDAR
        )
        known = ~np.isnan(self.months_per_metre)
        with np.errstate(invalid="ignore", over="ignore"):
            months_first = self.months < self.distance * self.months_per_metre
        workshop_months_rule = (self.workshop_months < self.calendar) & (
            by_distance != _ORDER.index("running-in")
        )
        return np.where(np.where(known, months_first, workshop_months_rule), by_months, by_distance)


def _limits(table: Columns, dirt: DirtLimit) -> _Limits:
    def or_never(values: FloatArray) -> FloatArray:
        return np.where(np.isnan(values), np.inf, values)

    with np.errstate(divide="ignore", over="ignore"):
        months_per_metre = 12.0 / table.annual_distance
    return _Limits(
        dirt=dirt,
        ageing=_ageing_distance(table),
        running_in=running_in_limit(table),
        calendar=calendar_limit(table),
        workshop_distance=or_never(table.workshop_distance),
        workshop_months=or_never(table.workshop_months),
        months_per_metre=months_per_metre,
    )


def _of_own_kind(table: Columns, dirt: Mapping[Filtration, DirtLimit]) -> DirtLimit:
    """Pick for each case the limit of its own kind of filter."""
    own = [table.filtration == kind for kind in dirt]
    return DirtLimit(
        distance=np.select(own, [limit.distance for limit in dirt.values()]),
        filter_change_distance=np.select(
            own, [limit.filter_change_distance for limit in dirt.values()]
        ),
    )


def oil_change_intervals(cases: Sequence[OilChangeCase]) -> list[OilChangeInterval]:
    """Oil-change intervals of many units, computed together.

    Parameters
    ----------
    cases : sequence of OilChangeCase
        The units.

    Returns
    -------
    list of OilChangeInterval
        One a case, in the same order.

    Raises
    ------
    OutOfRange
        If any figure of any case lies outside its range.

    References
    ----------
    As :func:`oil_change_interval`.

    Examples
    --------
    >>> usual = dict(sump_volume=4e-3, mean_speed=14.0)
    >>> kinds = [OilChangeCase(filtration=kind, **usual) for kind in ("strainer", "full-flow")]
    >>> [round(r.distance / 1e3) for r in oil_change_intervals(kinds)]
    [1200, 3869]
    """
    if not cases:
        return []
    table = columns(cases)
    dirt = {kind: dirt_limit(with_filtration(table, kind)) for kind in FILTRATIONS}
    own = _limits(table, _of_own_kind(table, dirt))
    others = {kind: replace(own, dirt=limit) for kind, limit in dirt.items()}
    alternatives = {kind: (o.distance.tolist(), o.binding().tolist()) for kind, o in others.items()}
    filtered = replace(table, breather_filtered=np.ones_like(table.breather_filtered))
    cooler = replace(table, sump_temperature_c=np.maximum(table.sump_temperature_c - 10.0, 0.0))
    breather_distance = replace(own, dirt=dirt_limit(filtered)).distance.tolist()
    cooler_distance = replace(own, ageing=_ageing_distance(cooler)).distance.tolist()
    distance, binding = own.distance.tolist(), own.binding().tolist()
    running_time = (own.distance / table.mean_speed).tolist()
    months = own.months.tolist()
    factor = use_factor(table).tolist()
    concentration = (permitted_mass(table) / table.sump_volume).tolist()
    named, full_at = _named(own, cases), _finite(own.dirt.filter_change_distance)
    return [
        OilChangeInterval(
            case=case,
            distance=distance[i],
            running_time=running_time[i],
            months=months[i],
            limited_by=_NAMES[binding[i]],
            limits=named[i],
            filter_change_distance=full_at[i],
            compare=tuple(
                Alternative(kind, there[0][i], _NAMES[there[1][i]])
                for kind, there in alternatives.items()
            ),
            use_factor=factor[i],
            permitted_concentration=concentration[i],
            distance_breather_filtered=breather_distance[i],
            distance_cooler=cooler_distance[i],
        )
        for i, case in enumerate(cases)
    ]


def _ageing_distance(table: Columns) -> FloatArray:
    life = ageing_life(table.sump_temperature_c[:, np.newaxis], 1.0, table.short_run_share)
    return life * table.mean_speed


def _finite(values: FloatArray) -> list[float | None]:
    return [value if math.isfinite(value) else None for value in values.tolist()]


def _named(limits: _Limits, cases: Sequence[OilChangeCase]) -> list[dict[LimitName, Limit | None]]:
    def row(
        case: OilChangeCase, dirt: float, ageing: float, running_in: float, calendar: float
    ) -> dict[LimitName, Limit | None]:
        speed = case.mean_speed
        workshop: Limit | None = None
        if case.workshop_distance is not None or case.workshop_months is not None:
            far = case.workshop_distance
            workshop = Limit(far, None if far is None else far / speed, case.workshop_months)
        return {
            "dirt": Limit(dirt, dirt / speed),
            "ageing": Limit(ageing, ageing / speed),
            "calendar": Limit(months=calendar),
            "running-in": (
                Limit(running_in, running_in / speed) if math.isfinite(running_in) else None
            ),
            "workshop": workshop,
        }

    return [
        row(*figures)
        for figures in zip(
            cases,
            limits.dirt.distance.tolist(),
            limits.ageing.tolist(),
            limits.running_in.tolist(),
            limits.calendar.tolist(),
            strict=True,
        )
    ]


def oil_change_interval(case: OilChangeCase) -> OilChangeInterval:
    """When to change a unit's oil, from how its car is used and whether there is a filter.

    The least of these, each of which is in the result: the distance at which dirt reaches what an
    unfiltered unit carries at its usual interval; the running time in which the oil ages; the
    months that it may stay; the early changes of running-in; the workshop's instruction, which the
    computation may shorten and never lengthens.

    Parameters
    ----------
    case : OilChangeCase
        The unit, its filter, how it is used.

    Returns
    -------
    OilChangeInterval
        Distance, running time and months, whichever comes first, and what sets them.

    Raises
    ------
    OutOfRange
        If a figure lies outside its range.

    References
    ----------
    Mass balance of a stirred vessel; efficiency from ISO 16889. Whatever was set rather than
    derived is in ``ASSUMPTIONS``, with its source or "common practice, no source".

    Examples
    --------
    >>> plain = OilChangeCase(filtration="none", sump_volume=4e-3, mean_speed=14.0)
    >>> result = oil_change_interval(plain)
    >>> round(result.distance / 1e3), result.limited_by, result.months
    (1200, 'dirt', 12.0)
    """
    return oil_change_intervals([case])[0]
