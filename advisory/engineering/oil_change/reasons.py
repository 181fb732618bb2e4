"""Why an interval is what it is, and what would move it: codes and figures, no sentences."""

from __future__ import annotations

from collections.abc import Iterator

from advisory.engineering.oil_change.assumptions import assumed
from advisory.engineering.oil_change.case import Filtration
from advisory.engineering.oil_change.result import OilChangeInterval, Reason

#: A change is only spoken of where it moves the interval by more than this.
_WORTH_SAYING = 1.05
#: Two distances are spoken of as one where they differ by no more than this.
_AS_FAR = 1.02

_BETTER: dict[Filtration, tuple[Filtration, ...]] = {
    "none": ("bypass", "full-flow"),
    "strainer": ("bypass", "full-flow"),
    "bypass": ("full-flow",),
    "full-flow": (),
}


def _what_limits(result: OilChangeInterval) -> Iterator[Reason]:
    case = result.case
    if result.limited_by == "dirt":
        yield Reason(
            "limited_by_dirt",
            {
                "filtration": case.filtration,
                "sump_volume": case.sump_volume,
                "distance": result.distance,
            },
        )
    elif result.limited_by == "ageing":
        yield Reason(
            "limited_by_ageing",
            {
                "sump_temperature_c": case.sump_temperature_c,
                "running_time": result.running_time,
                "distance": result.distance,
            },
        )
    elif result.limited_by == "calendar":
        yield Reason("limited_by_calendar", {"months": result.months})
    elif result.limited_by == "running-in":
        since = case.distance_since_rebuild or 0.0
        yield Reason(
            "limited_by_running_in",
            {
                "distance": result.distance,
                "distance_since_rebuild": since,
                "change_at": since + result.distance,
            },
        )
    else:
        far, months = case.workshop_distance, case.workshop_months
        if far is not None:
            yield Reason("limited_by_workshop_distance", {"distance": far})
        if months is not None:
            yield Reason("limited_by_workshop_months", {"months": months})


def _what_would_move_it(result: OilChangeInterval) -> Iterator[Reason]:
    worth = _WORTH_SAYING * result.distance
    if result.limited_by == "dirt":
        there = {other.filtration: other for other in result.compare}
        far: dict[str, float] = {
            kind: there[kind].distance
            for kind in _BETTER[result.case.filtration]
            if there[kind].distance > worth
        }
        if len(far) > 1 and max(far.values()) <= _AS_FAR * min(far.values()):
            far = {"either": min(far.values())}
        for kind, distance in far.items():
            yield Reason("filter_would", {"filtration": kind, "distance": distance})
        if result.distance_breather_filtered > worth:
            yield Reason("breather_would", {"distance": result.distance_breather_filtered})
    elif result.limited_by == "ageing" and result.distance_cooler > worth:
        yield Reason("cooler_would", {"distance": result.distance_cooler})
    elif result.limited_by == "calendar":
        yield Reason("distance_would_allow", {"distance": result.distance})


def _use(result: OilChangeInterval) -> Iterator[Reason]:
    case = result.case
    if case.roads != "sealed":
        yield Reason("dusty_roads", {"roads": case.roads})
    if case.short_run_share > 0.0 and case.service_class != "gearbox":
        yield Reason("short_runs", {"share": case.short_run_share})
    if case.sump_temperature_c < assumed("ageing_base_temperature"):
        yield Reason(
            "sump_stays_cold",
            {
                "sump_temperature_c": case.sump_temperature_c,
                "warm_c": assumed("ageing_base_temperature"),
            },
        )


def _filter(result: OilChangeInterval) -> Iterator[Reason]:
    case = result.case
    if case.filtration == "strainer":
        yield Reason("strainer_is_no_filter", {})
    if case.filtration not in {"bypass", "full-flow"}:
        return
    if case.efficiency is None or case.filter_flow is None:
        yield Reason("filter_assumed", {"efficiency": assumed("filter_efficiency")})
    full_at = result.filter_change_distance
    if case.dirt_capacity is None:
        yield Reason("filter_capacity_unknown", {})
    elif full_at is not None and full_at < result.distance:
        yield Reason("filter_full_early", {"filter_change_distance": full_at})
    elif full_at is not None:
        yield Reason("filter_change", {"filter_change_distance": full_at})


def _standing_above(result: OilChangeInterval) -> Iterator[Reason]:
    case = result.case
    far = case.workshop_distance
    if far is not None and result.distance < far:
        yield Reason(
            "workshop_distance_shortened", {"workshop_distance": far, "distance": result.distance}
        )
    elif case.workshop_months is not None and result.months < case.workshop_months:
        yield Reason(
            "workshop_months_shortened",
            {"workshop_months": case.workshop_months, "months": result.months},
        )
    since = case.distance_since_rebuild
    if since is not None and since < assumed("running_in_first_look"):
        yield Reason("running_in_first_look", {"distance": assumed("running_in_first_look")})
    if result.limited_by != "calendar":
        yield Reason("at_least_every", {"months": result.months})


def reasons_for(result: OilChangeInterval) -> tuple[Reason, ...]:
    """Say why an interval is what it is, and what would move it.

    Parameters
    ----------
    result : OilChangeInterval
        The interval.

    Returns
    -------
    tuple of Reason
        First what sets it, then what would move it, then the rest; codes with figures in SI units.

    References
    ----------
    None: it only reads the result.

    Examples
    --------
    >>> from advisory.engineering.oil_change import OilChangeCase, oil_change_interval
    >>> plain = OilChangeCase(filtration="none", sump_volume=3.2e-3, mean_speed=14.0)
    >>> [reason.code for reason in reasons_for(oil_change_interval(plain))][:2]
    ['limited_by_dirt', 'filter_would']
    """
    return (
        *_what_limits(result),
        *_what_would_move_it(result),
        *_use(result),
        *_filter(result),
        *_standing_above(result),
    )
