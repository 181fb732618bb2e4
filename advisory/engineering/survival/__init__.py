"""Lifetimes and recurring findings, with censoring and late entry."""

from advisory.engineering.survival.curves import (
    HazardCurve,
    SurvivalCurve,
    kaplan_meier,
    nelson_aalen,
)
from advisory.engineering.survival.lives import Lives, lives
from advisory.engineering.survival.log_rank import LogRank, log_rank
from advisory.engineering.survival.recurring import (
    MeanCumulativeCount,
    WatchedUnit,
    mean_cumulative_count,
)
from advisory.engineering.survival.weibull import (
    WeibullFit,
    weibull_fit,
    weibull_quantile_interval,
)

__all__ = [
    "HazardCurve",
    "Lives",
    "LogRank",
    "MeanCumulativeCount",
    "SurvivalCurve",
    "WatchedUnit",
    "WeibullFit",
    "kaplan_meier",
    "lives",
    "log_rank",
    "mean_cumulative_count",
    "nelson_aalen",
    "weibull_fit",
    "weibull_quantile_interval",
]
