"""The only door to engineering: oils, limits of a fit, what a build sheet's figures tell."""

from advisory.register.adapters.limits import (
    LimitsToldWrong,
    ThreeWays,
    clearance_of_classes,
    three_ways,
)
from advisory.register.adapters.oils import oil_choices

__all__ = [
    "LimitsToldWrong",
    "ThreeWays",
    "clearance_of_classes",
    "oil_choices",
    "three_ways",
]
