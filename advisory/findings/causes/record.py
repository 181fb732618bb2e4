"""What of a unit's own record can speak for or against a cause; None is 'not known'."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class UnitRecord:
    """A unit as it stood when something was seen on it. SI; temperatures in kelvin.

    Parameters
    ----------
    filtration
        None, strainer, bypass or full-flow, by the values of `lubrication.enums.Filtration`.
    change_over
        How far past its interval the oil was; negative while the change was not due yet [m].
    months_over
        The same by the calendar, in months.
    pipe_share
        Flow through the feed pipe with the oil warm over what its bearings lose [-].
    arrives_cold
        Whether the oil in it comes through the pipe on a cold start.
    film_ratio, film_holds
        At the bearing where it was seen, else at the worst, with the clearance as measured last,
        the oil in use and a hot run; whether that is enough.
    since_build
        Distance since its last signed rebuild [m].
    coolant_freezes_at, coldest
        As noted at the last inspection.
    coolant_checked
        Whether the coolant was looked at before the winter that came last.
    fasteners_other_pattern
        Whether fasteners were replaced by another pattern, by the build sheet.
    part_origin
        Of the part where it was seen: original, remade or donor.
    cover
        Of the cover or jacket where it was seen: new, reused or repaired.
    run_out_over
        Whether the run-out on the build sheet was above the design's limit.
    past_limit
        Whether the figure that was measured there is at or past its limit.
    clearance_share
        The running clearance measured there over its limit [-].
    other_marks
        What else was seen on the unit in the two years before.
    """

    filtration: str | None = None
    change_over: float | None = None
    months_over: int | None = None
    change_logged: bool | None = None
    detergent: bool | None = None
    active_sulphur: bool | None = None
    breather_filtered: bool | None = None
    roads: str | None = None
    short_run_share: float | None = None
    pipe_share: float | None = None
    arrives_cold: bool | None = None
    film_ratio: float | None = None
    film_holds: bool | None = None
    clearance_share: float | None = None
    past_limit: bool = False
    since_build: float | None = None
    new_white_metal: bool | None = None
    coolant_freezes_at: float | None = None
    coldest: float | None = None
    coolant_checked: bool | None = None
    laid_up: bool | None = None
    fasteners_other_pattern: bool | None = None
    thread_inserts: bool | None = None
    part_origin: str | None = None
    cover: str | None = None
    run_out_over: bool | None = None
    other_marks: frozenset[str] = frozenset()
