"""Every figure of the oil choice that was set rather than derived, in one table.

A page can print it: each row says what it is, its value and unit, and where it comes from. The
least film allowed depends on the journal, see `ALLOWABLE_FILM`.
"""

from __future__ import annotations

from typing import Final

from advisory.engineering.assumption import PRACTICE, SET_BY_US, Assumption, by_name
from advisory.engineering.journal_bearing import MULTIGRADE_FACTOR
from advisory.engineering.journal_bearing.allowables import (
    BOUNDARY_FILM_RATIO,
    FILM_RATIO_SOURCE,
    FULL_FILM_RATIO,
    TRUMPLER,
    TRUMPLER_TEMPERATURE_C,
)
from advisory.engineering.metals import ISO_7902_3

_BAR = 1e5
_MICRON = 1e-6

ALLOWABLE_FILM: Final = (
    ("0.00508 mm + 0.00004 D", TRUMPLER),
    ("3 to 14 µm, by diameter and sliding speed, for 24 to 400 mm", ISO_7902_3),
)
"""The two rules for the least film; the stricter of them is held to."""

ASSUMPTIONS: Final[tuple[Assumption, ...]] = (
    Assumption(
        "full_film_ratio", FULL_FILM_RATIO, "", FILM_RATIO_SOURCE,
        "Least film over the combined roughness from which a film holds: above it the surfaces "
        "stay apart.",
    ),
    Assumption(
        "boundary_film_ratio", BOUNDARY_FILM_RATIO, "", FILM_RATIO_SOURCE,
        "Below it the surfaces touch all the time: that counts as no film.",
    ),
    Assumption(
        "film_temperature", TRUMPLER_TEMPERATURE_C, "degC", TRUMPLER,
        "Hottest that a film may get: beyond it an oil is too thick or the bearing too tight.",
    ),
    Assumption(
        "multigrade_share", MULTIGRADE_FACTOR, "", "from memory",
        "What is left of a multigrade's viscosity at the shear of a film.",
    ),
    Assumption(
        "hot_margin", 10, "K", SET_BY_US,
        "A hard run on a hot day against the usual warm run: the film is judged with the sump "
        "that much warmer.",
    ),
    Assumption(
        "cold_start", 0, "degC", SET_BY_US,
        "A start on a winter's morning, where nobody says another temperature.",
    ),
    Assumption(
        "unforced_flow_share", 0.5, "", SET_BY_US,
        "Share of the oil that a bearing would draw, and that would cool it, which is taken to "
        "arrive where oil is not pressed in, or where nobody knows how it comes.",
    ),
    Assumption(
        "forced_pressure", 1, "bar", SET_BY_US,
        "Pressure at the feed pipe of a unit that is fed under pressure: low for one that is warm "
        "and in order, so that less oil arrives.",
        _BAR,
    ),
    Assumption(
        "gravity_head", 0.3, "m", SET_BY_US,
        "Height from which oil runs down to a bearing that is fed by gravity.",
    ),
    Assumption(
        "filling_time", 30, "s", SET_BY_US,
        "Longest that a drained feed pipe may take to fill on a cold start. Until then the "
        "bearing runs on what clings to it.",
    ),
    Assumption(
        "filling_time_standing_full", 300, "s", SET_BY_US,
        "The same where oil runs down from a tank: the pipe stands full from the last run, and "
        "only what has run out of it must come again.",
    ),
    Assumption(
        "pumped_viscosity", 5, "Pa·s", PRACTICE,
        "Thickest oil that a gear pump draws from a sump on a cold start (makers of pumps allow "
        "2000 to 5000 mm²/s). Taken too where nobody knows how the oil comes.",
    ),
    Assumption(
        "splashed_viscosity", 150, "Pa·s", "SAE J306, limit of the W grades (from memory)",
        "Thickest oil that still flows back to the gears or bearings that dip into it.",
    ),
    Assumption(
        "roughness_not_known", 1.6, "µm", SET_BY_US,
        "Combined roughness (rms) of journal and bearing where nobody has measured it: rough, so "
        "that the film ratio comes out low.",
        _MICRON,
    ),
    Assumption(
        "washer_inner_share", 0.8, "", SET_BY_US,
        "Inner over outer diameter of a thrust washer of which only the outer one is known: a "
        "narrow face, so that the pressure comes out high.",
    ),
)  # fmt: skip

assumed: Final = by_name(ASSUMPTIONS)
"""Looks a figure up by its name."""
