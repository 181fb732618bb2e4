"""Every figure of the oil-change interval that was set rather than derived, in one table.

A page can print it: each row says what it is, its value and unit, and where it comes from.
"""

from __future__ import annotations

from typing import Final

from advisory.engineering.assumption import PRACTICE, SET_BY_US, Assumption, by_name

_KM = 1e3
_LITRE = 1e-3
_MG_PER_KM = 1e-6 / 1e3
_HOUR = 3600.0
_PER_MINUTE = 1.0 / 60.0

ASSUMPTIONS: Final[tuple[Assumption, ...]] = (
    Assumption(
        "reference_distance", 1200, "km", PRACTICE,
        "Interval of the reference case: no filter, straight oil, sealed roads, unfiltered "
        "breather, warm runs. Middle of 800-1600 km.",
        _KM,
    ),
    Assumption(
        "reference_sump_volume", 4, "litre", SET_BY_US,
        "Sump of the reference case, an ordinary four-cylinder engine of the period.",
        _LITRE,
    ),
    Assumption(
        "small_unit_reference_sump_volume", 0.9, "litre", SET_BY_US,
        "The same for a supercharger, pump or drive with oil of its own. It is given the interval "
        "of an engine: few bearings shed little into little oil, and no combustion dirties it.",
        _LITRE,
    ),
    Assumption(
        "gearbox_reference_distance", 12000, "km", PRACTICE,
        "The same for a gearbox or an axle, which has no combustion. Within 8000-20 000 km.",
        _KM,
    ),
    Assumption(
        "gearbox_reference_sump_volume", 1.5, "litre", SET_BY_US,
        "Oil in the gearbox or axle of the reference case.",
        _LITRE,
    ),
    Assumption(
        "reference_residue_fraction", 0.1, "", SET_BY_US,
        "Share of the old oil that stays behind at a warm drain in the reference case.",
    ),
    Assumption(
        "sump_exponent", 0.365, "", SET_BY_US,
        "The dirt that a unit may carry grows as the sump's volume to this power. With 1 twice "
        "the oil would last twice the distance; but a larger sump mostly belongs to a larger "
        "unit with more bearings and more dirt, and practice has the same bands for all. With "
        "this power sumps of 2 to 8 litres span the band of full-flow filters, 3000-5000 km. "
        "Whoever enlarges a sump is given less than the full credit: the careful side.",
    ),
    Assumption(
        "ingress_per_distance", 2, "mg/km", SET_BY_US,
        "Dirt that reaches the oil in the reference case. It only sets when a filter is full: "
        "an element of 10 g then lasts 7000 to 9000 km, which is common practice.",
        _MG_PER_KM,
    ),
    Assumption(
        "dust_share", 0.5, "", SET_BY_US,
        "Share of that dirt which is dust from the road; the rest is soot and wear.",
    ),
    Assumption(
        "dust_factor_mixed", 2, "", SET_BY_US,
        "Dust on mixed roads against sealed ones.",
    ),
    Assumption(
        "dust_factor_unsealed", 3, "", PRACTICE,
        "Dust on unsealed roads against sealed ones: with the share above it halves the "
        "interval, which is common practice.",
    ),
    Assumption(
        "breather_share", 0.5, "", SET_BY_US,
        "Share of the dust that comes in by the breather; the rest passes the pistons.",
    ),
    Assumption(
        "breather_filter_efficiency", 0.8, "", SET_BY_US,
        "Share of the breather's dust that a filter on it holds back.",
    ),
    Assumption(
        "short_run_factor", 4, "", PRACTICE,
        "Soot and wear over a distance of runs too short to warm the oil, against a warm run. "
        "Two thirds of such runs then halve the interval, which is common practice.",
    ),
    Assumption(
        "fines_share_bypass", 0.4, "", PRACTICE,
        "Share of the dirt's effect that a bypass filter does not take out: particles below its "
        "rating, and those that pass a bearing before they pass the filter. Sets 3000 km for "
        "the reference case, the middle of 2000-4000 km.",
    ),
    Assumption(
        "fines_share_full_flow", 0.31, "", PRACTICE,
        "The same for a full-flow filter: below its rating a filter takes out nothing. Sets "
        "3870 km for the reference case, the geometric middle of 3000-5000 km.",
    ),
    Assumption(
        "pump_turnover", 1.5, "sumps/min", SET_BY_US,
        "How often the pump moves the whole sump in a minute, where the flow through the "
        "filter is not known.",
        _PER_MINUTE,
    ),
    Assumption(
        "bypass_flow_share", 0.1, "", PRACTICE,
        "Share of the pump's flow that goes through a bypass filter. Middle of 5-14 %.",
    ),
    Assumption(
        "filter_efficiency", 0.5, "", SET_BY_US,
        "Share held back in one pass where neither beta ratio nor efficiency is known: beta 2, "
        "a plain element at its nominal rating.",
    ),
    Assumption(
        "ageing_life", 1000, "hour", PRACTICE,
        "Running time that the oil lasts at or below the base temperature.",
        _HOUR,
    ),
    Assumption(
        "ageing_base_temperature", 60, "degC", PRACTICE,
        "Temperature up to which ageing is not counted faster. Below it water and fuel stay in "
        "the oil.",
    ),
    Assumption(
        "ageing_halving", 10, "K", PRACTICE,
        "Each step of this size above the base temperature halves the life (a rule of thumb "
        "after Arrhenius; some say it falls to a third).",
    ),
    Assumption(
        "short_run_life", 60, "hour", SET_BY_US,
        "Running time that the oil lasts in cold short runs only, with fuel and water in it: "
        "about 3000 km at 50 km/h.",
        _HOUR,
    ),
    Assumption(
        "calendar_months", 12, "months", PRACTICE,
        "Oldest that oil in a unit gets, and always before lay-up.",
    ),
    Assumption(
        "gearbox_calendar_months", 36, "months", PRACTICE,
        "The same for a gearbox or an axle. Within 24-60 months.",
    ),
    Assumption(
        "hardest_use", 2, "", PRACTICE,
        "Dust or many short runs divide the months as they divide the distance, by this at most.",
    ),
    Assumption(
        "running_in_first", 250, "km", PRACTICE,
        "First change after a rebuild. Within 50-400 km.",
        _KM,
    ),
    Assumption(
        "running_in_second", 650, "km", PRACTICE,
        "Second change after a rebuild. Middle of 500-800 km.",
        _KM,
    ),
    Assumption(
        "running_in_third", 1300, "km", PRACTICE,
        "Third change after a rebuild. Middle of 1000-1600 km.",
        _KM,
    ),
    Assumption(
        "gearbox_running_in", 800, "km", SET_BY_US,
        "The one early change of a rebuilt gearbox or axle.",
        _KM,
    ),
    Assumption(
        "running_in_done_from", 0.8, "", SET_BY_US,
        "A fill that goes in at this share of a change's distance or later counts as that change.",
    ),
    Assumption(
        "running_in_first_look", 50, "km", PRACTICE,
        "Distance after which new white metal's first oil is drained, or looked at.",
        _KM,
    ),
)  # fmt: skip

assumed: Final = by_name(ASSUMPTIONS)
"""Looks a figure up by its name."""
