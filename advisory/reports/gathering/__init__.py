"""A fleet's facts, read many at a time."""

from advisory.reports.gathering.distances import Places, Stays
from advisory.reports.gathering.facts import (
    FEEDS,
    FILTRATIONS,
    MARKS,
    POSITIONS,
    QUANTITIES,
    WORKS,
    DesignGroup,
    Facts,
    begin_of,
    gather,
    rings_of,
)
from advisory.reports.gathering.stretches import GROUPS, Stretches, stretches_of

__all__ = [
    "FEEDS",
    "FILTRATIONS",
    "GROUPS",
    "MARKS",
    "POSITIONS",
    "QUANTITIES",
    "WORKS",
    "DesignGroup",
    "Facts",
    "Places",
    "Stays",
    "Stretches",
    "begin_of",
    "gather",
    "rings_of",
    "stretches_of",
]
