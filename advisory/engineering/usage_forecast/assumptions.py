"""What the forecast takes for granted, and where each figure comes from."""

from __future__ import annotations

from advisory.engineering.assumption import PRACTICE, SET_BY_US, TakenForGranted

#: Yearly distance of a car of which, and of whose like, nothing is known [m], and the shape of its
#: gamma distribution: one over the square of the coefficient of variation.
DEFAULT_ANNUAL_DISTANCE = 3_000e3
DEFAULT_SHAPE = 2.0

#: How much an owner's own guess counts: a spread of 50 %.
GUESS_SHAPE = 4.0

#: Share of a year's distance by month, January first: of a car that is laid up from late October to
#: early April, and of one that runs all year; and how many of a hundred are of each kind.
LAID_UP_SHARES = (0.001, 0.001, 0.012, 0.09, 0.155, 0.17, 0.174, 0.164, 0.14, 0.085, 0.007, 0.001)
ALL_YEAR_SHARES = (0.055, 0.055, 0.07, 0.085, 0.1, 0.105, 0.105, 0.105, 0.1, 0.09, 0.07, 0.06)
KINDS = (0.75, 0.25)

#: Variance of the distance in a spell over its mean [m]: trips come in clusters.
DEFAULT_CLUSTERING = 400e3

#: Standard deviation of one year's distance over its mean, as years differ.
YEARS_DIFFER = 0.15

#: Chance that a car goes off the road in a year, and for how long it is then [d].
OFF_ROAD_A_YEAR = 0.03
OFF_ROAD_DAYS = 290

#: Evidence counts half after so many days [d].
EVIDENCE_HALVES = 6 * 365.25

#: The farthest ahead that a day is named [d].
HORIZON = 3653

#: Fleets of fewer cars than this are shrunk to the defaults so much that it is said.
FEW_CARS = 60

#: What the defaults count for beside what is learnt: years of watching, cars.
SEASON_COUNTS_YEARS = 20.0
DEFAULTS_COUNT_CARS = 15.0

#: A lay-up without an end is taken to end on the next first of this month, and not before today.
BACK_IN_USE_MONTH = 4

#: A forecast whose 80 % interval is longer than this [d] and than so much of the time to its middle
#: is of no use to plan by: a reading is worth more.
WIDE_DAYS = 120
WIDE_SHARE = 0.8

#: What a day too late costs beside a day too early, and how many days of planning a reading must
#: save to be asked for.
LATE_COSTS = 3.0
WORTH_ASKING = 5.0


_KM = 1e3

ASSUMPTIONS = (
    TakenForGranted(
        "month shares before a fleet is known",
        f"{100 * KINDS[0]:.0f} % of the cars drive {100 * sum(LAID_UP_SHARES[3:10]):.0f} % of a "
        "year's distance from April to October, the others all year; count as "
        f"{SEASON_COUNTS_YEARS:g} years of watching",
        f"{PRACTICE}: most such cars are laid up from late October to early April",
    ),
    TakenForGranted(
        "yearly distance where neither owner nor fleet tells one",
        f"{DEFAULT_ANNUAL_DISTANCE / _KM:,.0f} km, give or take {100 * DEFAULT_SHAPE**-0.5:.0f} %; "
        f"counts as {DEFAULTS_COUNT_CARS:g} cars",
        SET_BY_US,
    ),
    TakenForGranted("spread of an owner's guess", f"{100 * GUESS_SHAPE**-0.5:.0f} %", SET_BY_US),
    TakenForGranted(
        "variance over mean of the distance",
        f"{DEFAULT_CLUSTERING / _KM:g} km, until the fleet tells another",
        "set so that on simulated cars four in five fall between the 10 % and the 90 % day",
    ),
    TakenForGranted("years differ by", f"{100 * YEARS_DIFFER:.0f} %", SET_BY_US),
    TakenForGranted(
        "a car goes off the road",
        f"in {100 * OFF_ROAD_A_YEAR:g} years of 100, for {OFF_ROAD_DAYS} days",
        SET_BY_US,
    ),
    TakenForGranted("evidence counts half after", f"{EVIDENCE_HALVES / 365.25:g} years", SET_BY_US),
    TakenForGranted(
        "a lay-up without an end lasts to", f"the first of month {BACK_IN_USE_MONTH}", PRACTICE
    ),
    TakenForGranted(
        "a forecast is too wide to plan by",
        f"where its 80 % interval is longer than {WIDE_DAYS} days and than "
        f"{100 * WIDE_SHARE:.0f} % of the time to its middle",
        SET_BY_US,
    ),
    TakenForGranted(
        "a reading is asked for when it is worth most",
        f"a day too late counts as {LATE_COSTS:g} too early, and it must save {WORTH_ASKING:g} "
        "days of planning",
        SET_BY_US,
    ),
)
