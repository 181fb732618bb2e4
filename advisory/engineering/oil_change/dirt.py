"""The distance after which dirt asks for fresh oil, by mass balance over successive fills."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.oil_change.assumptions import assumed
from advisory.engineering.oil_change.case import Columns

#: Newton's method doubles the right digits at each step from below a concave curve: 6 steps are the
#: rule, and this is only where it stops if floats never settle.
_STEPS = 60


@dataclass(frozen=True)
class Filter:
    """What stands between dirt and bearings; one entry a case.

    Parameters
    ----------
    fines_share : ndarray
        Share of the dirt that it does not take out at all [-]; 1 without a filter.
    removal : ndarray
        Oil that it cleans in a time, flow times efficiency [m3/s].
    capacity : ndarray
        Dirt that it holds until it is full [kg]; infinite where that is not known.
    """

    fines_share: FloatArray
    removal: FloatArray
    capacity: FloatArray


def fitted_filter(table: Columns) -> Filter:
    """Return the filter that each case has, with our defaults where it isn't described."""
    bypass, full_flow = table.filtration == "bypass", table.filtration == "full-flow"
    filtered = bypass | full_flow
    pump_flow = assumed("pump_turnover") * table.sump_volume
    usual_flow = np.where(bypass, assumed("bypass_flow_share") * pump_flow, pump_flow)
    flow = np.where(np.isnan(table.filter_flow), usual_flow, table.filter_flow)
    efficiency = np.where(
        np.isnan(table.efficiency), assumed("filter_efficiency"), table.efficiency
    )
    return Filter(
        fines_share=np.select(
            [bypass, full_flow],
            [assumed("fines_share_bypass"), assumed("fines_share_full_flow")],
            1.0,
        ),
        removal=np.where(filtered, flow * efficiency, 0.0),
        capacity=np.where(np.isnan(table.dirt_capacity), np.inf, table.dirt_capacity),
    )


def with_filtration(table: Columns, filtration: str) -> Columns:
    """Return the same units with another kind of filter; those that have it keep their own."""
    other = table.filtration != filtration
    return replace(
        table,
        filtration=np.full_like(table.filtration, filtration, dtype="<U9"),
        efficiency=np.where(other, np.nan, table.efficiency),
        filter_flow=np.where(other, np.nan, table.filter_flow),
        dirt_capacity=np.where(other, np.nan, table.dirt_capacity),
    )


def use_factor(table: Columns) -> FloatArray:
    """Return the dirt that reaches the oil over a distance, against the reference case."""
    dust = np.select(
        [table.roads == "mixed", table.roads == "unsealed"],
        [assumed("dust_factor_mixed"), assumed("dust_factor_unsealed")],
        1.0,
    )
    held_back = assumed("breather_share") * assumed("breather_filter_efficiency")
    dust = np.where(table.breather_filtered, dust * (1.0 - held_back), dust)
    # Short runs make soot in an engine; a gearbox has no combustion.
    extra = np.where(table.gearbox, 0.0, assumed("short_run_factor") - 1.0)
    own = 1.0 + extra * table.short_run_share
    share = assumed("dust_share")
    return np.asarray(share * dust + (1.0 - share) * own)


def permitted_mass(table: Columns) -> FloatArray:
    """Dirt that a unit may carry at the end of a fill [kg].

    It is what an unfiltered unit with such a sump carries at the interval that common practice
    gives it, after many fills.
    """
    distance = np.where(
        table.gearbox, assumed("gearbox_reference_distance"), assumed("reference_distance")
    )
    volume = np.select(
        [table.gearbox, table.small_unit],
        [assumed("gearbox_reference_sump_volume"), assumed("small_unit_reference_sump_volume")],
        assumed("reference_sump_volume"),
    )
    scale = (table.sump_volume / volume) ** assumed("sump_exponent")
    kept_back = 1.0 - assumed("reference_residue_fraction")
    return np.asarray(assumed("ingress_per_distance") * distance * scale / kept_back)


@dataclass(frozen=True)
class _Balance:
    """Ingress [kg/m], permitted mass [kg], residue, share of fines, clearing distance [m]."""

    ingress: FloatArray
    permitted: FloatArray
    residue: FloatArray
    fines: FloatArray
    clearing: FloatArray

    @property
    def unfiltered_distance(self) -> FloatArray:
        """Distance to the permitted mass if nothing were taken out [m]."""
        return self.permitted * (1.0 - self.residue) / self.ingress

    def coarse(self, distance: FloatArray) -> FloatArray:
        """Coarse dirt afloat at the end of a fill [kg], after many fills like it."""
        decades = distance / self.clearing
        safe = np.where(decades > 0.0, decades, 1.0)
        afloat = np.where(decades > 0.0, -np.expm1(-safe) / safe, 1.0)
        added = (1.0 - self.fines) * self.ingress * distance * afloat
        return added / (1.0 - self.residue * np.exp(-decades))

    def working_filter_distance(self) -> FloatArray:
        """Distance to the permitted mass while the filter works [m]."""
        start = self.unfiltered_distance
        fines = self.fines * self.ingress / (1.0 - self.residue)
        distance = start
        for _ in range(_STEPS):
            after = np.exp(-distance / self.clearing)
            slope = fines + (1.0 - self.fines) * self.ingress * after * (1.0 - self.residue) / (
                (1.0 - self.residue * after) ** 2
            )
            missing = self.permitted - fines * distance - self.coarse(distance)
            step = missing / slope
            distance = distance + step
            if np.all(np.abs(step) <= 1e-14 * distance):
                break
        return np.where(np.isinf(self.clearing), start, distance)


@dataclass(frozen=True)
class DirtLimit:
    """Distances that dirt sets.

    Parameters
    ----------
    distance : ndarray
        Until the oil carries as much dirt as it may [m].
    filter_change_distance : ndarray
        Until the filter's element is full [m]; infinite where there is none or its capacity is not
        known.
    """

    distance: FloatArray
    filter_change_distance: FloatArray


def dirt_limit(table: Columns) -> DirtLimit:
    """Distance that dirt allows, and how far a filter's element lasts.

    The dirt is of two sizes: what a filter can take out, by the mass balance of a well-mixed sump,
    and fines below its rating, which gather as if there were no filter. The fill goes on in the
    rhythm it has had, so that the residue of each drain is counted. Each fill starts with a fresh
    element; once that is full it counts as none.

    Parameters
    ----------
    table : Columns
        The cases.

    Returns
    -------
    DirtLimit
        One entry a case.

    References
    ----------
    Mass balance of a stirred vessel, solved exactly within a fill; limit set by the reference case
    of ``ASSUMPTIONS``. Below its rating a filter's beta goes to 1 (ISO 16889, read in a summary).

    Examples
    --------
    >>> from advisory.engineering.oil_change.case import OilChangeCase, columns
    >>> usual = dict(sump_volume=4e-3, mean_speed=14.0)
    >>> plain = OilChangeCase(filtration="none", **usual)
    >>> bypass = OilChangeCase(filtration="bypass", **usual)
    >>> [round(d / 1e3) for d in dirt_limit(columns([plain, bypass])).distance.tolist()]
    [1200, 2985]
    """
    fitted = fitted_filter(table)
    with np.errstate(divide="ignore", over="ignore"):
        clearing = np.where(
            fitted.removal > 0.0,
            table.mean_speed * table.sump_volume / fitted.removal,
            np.inf,
        )
    balance = _Balance(
        ingress=assumed("ingress_per_distance") * use_factor(table),
        permitted=permitted_mass(table),
        residue=table.residue_fraction,
        fines=fitted.fines_share,
        clearing=clearing,
    )
    unhindered = balance.working_filter_distance()
    drained = (1.0 - balance.residue) * balance.coarse(unhindered) / unhindered
    captured = (1.0 - balance.fines) * balance.ingress - drained  # kg for each metre
    works: NDArray[np.bool_] = (captured > 1e-9 * balance.ingress) & np.isfinite(fitted.capacity)
    full_at = np.where(works, fitted.capacity / np.where(works, captured, 1.0), np.inf)
    # An element that is full before the oil is due has then taken out its capacity, whenever that
    # was: by that mass the unit may take in more dirt than without a filter.
    cut_short = balance.unfiltered_distance + fitted.capacity / balance.ingress
    return DirtLimit(distance=np.minimum(unhindered, cut_short), filter_change_distance=full_at)
