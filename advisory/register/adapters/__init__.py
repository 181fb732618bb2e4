"""The only door to engineering: oils, limits of a fit, what a build sheet's figures tell."""

from advisory.register.adapters.figures import (
    Derived,
    Figures,
    Measured,
    Sameness,
    Shown,
    UndersizeCompared,
    derived_at,
    fit_of,
    is_too_tight,
    journal_undersize,
    stands_of,
    undersizes_compared,
)
from advisory.register.adapters.limits import (
    LimitsToldWrong,
    ThreeWays,
    clearance_of_classes,
    three_ways,
)
from advisory.register.adapters.oils import oil_choices

__all__ = [
    "Derived",
    "Figures",
    "LimitsToldWrong",
    "Measured",
    "Sameness",
    "Shown",
    "ThreeWays",
    "UndersizeCompared",
    "clearance_of_classes",
    "derived_at",
    "fit_of",
    "is_too_tight",
    "journal_undersize",
    "oil_choices",
    "stands_of",
    "three_ways",
    "undersizes_compared",
]
