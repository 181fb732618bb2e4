"""Lifetimes and recurring findings, with censoring and late entry."""

from advisory.engineering.survival.by_owner import Estimate, mean_by_owner, share_by_owner
from advisory.engineering.survival.curve_points import (
    CurvePoints,
    Difference,
    survival_at,
    watched_at,
    weighted_difference,
)
from advisory.engineering.survival.curves import (
    HazardCurve,
    SurvivalCurve,
    kaplan_meier,
    nelson_aalen,
)
from advisory.engineering.survival.lives import Lives, lives
from advisory.engineering.survival.log_rank import LogRank, log_rank
from advisory.engineering.survival.many_units import CountAtAges, mean_count_at
from advisory.engineering.survival.recurring import (
    MeanCumulativeCount,
    WatchedUnit,
    mean_cumulative_count,
)
from advisory.engineering.survival.strata import (
    WithinStrata,
    difference_within,
    log_rank_within,
)
from advisory.engineering.survival.weibull import (
    WeibullFit,
    weibull_fit,
    weibull_fit_and_quantile,
    weibull_quantile_interval,
)
from advisory.engineering.survival.weibull_many import weibull_fit_many

__all__ = [
    "CountAtAges",
    "CurvePoints",
    "Difference",
    "Estimate",
    "HazardCurve",
    "Lives",
    "LogRank",
    "MeanCumulativeCount",
    "SurvivalCurve",
    "WatchedUnit",
    "WeibullFit",
    "WithinStrata",
    "difference_within",
    "kaplan_meier",
    "lives",
    "log_rank",
    "log_rank_within",
    "mean_by_owner",
    "mean_count_at",
    "mean_cumulative_count",
    "nelson_aalen",
    "share_by_owner",
    "survival_at",
    "watched_at",
    "weibull_fit",
    "weibull_fit_and_quantile",
    "weibull_fit_many",
    "weibull_quantile_interval",
    "weighted_difference",
]
