"""What the forecast takes for granted, and where each figure comes from."""

from __future__ import annotations

from dataclasses import dataclass

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


@dataclass(frozen=True)
class Assumption:
    """One figure that was set rather than derived, and where it comes from."""

    name: str
    value: str
    source: str


ASSUMPTIONS = (
    Assumption(
        "month shares before a fleet is known",
        "three cars in four drive 98 % of a year's distance from April to October, one in four all "
        "year; count as 20 years of watching",
        "common practice, no source: most such cars are laid up from late October to early April",
    ),
    Assumption(
        "yearly distance where neither owner nor fleet tells one",
        "3000 km, give or take 70 %; counts as 15 cars",
        "set by us, no source",
    ),
    Assumption("spread of an owner's guess", "50 %", "set by us, no source"),
    Assumption(
        "variance over mean of the distance",
        "400 km, until the fleet tells another; counts as 15 readings",
        "set so that on simulated cars four in five fall between the 10 % and the 90 % day",
    ),
    Assumption("years differ by", "15 %", "set by us, no source"),
    Assumption(
        "a car goes off the road", "in 3 years of 100, for 290 days", "set by us, no source"
    ),
    Assumption("evidence counts half after", "6 years", "set by us, no source"),
    Assumption("a lay-up without an end lasts to", "1 April", "common practice, no source"),
)
