"""The same questions put to libraries that others wrote, over random cases.

They are no dependency of the project: where one is not installed its tests are left out, and what
it answered once stands recorded in `advisory.engineering.checks`. tests/benchmarks/REPORT.md says
how to ask them anew.
"""

import numpy as np
import pytest

from advisory.engineering.coolant import Glycol, freezing_point
from advisory.engineering.survival import (
    kaplan_meier,
    lives,
    log_rank,
    nelson_aalen,
    weibull_fit,
)


def invented(seed: int, *, late: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Lives with ties, censoring and, where asked for, entries with age on them."""
    rng = np.random.default_rng(seed)
    age = np.ceil(60 * rng.weibull(rng.uniform(0.7, 3.0), 80))
    entry = np.where(rng.random(80) < 0.4, np.floor(rng.uniform(0, 40, 80)), 0.0) * late
    seen = age > entry
    failed = rng.random(80) < 0.7
    return age[seen], failed[seen], entry[seen]


@pytest.mark.parametrize("late", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_lives_are_those_of_lifelines(seed, late):
    lifelines = pytest.importorskip("lifelines", reason="lifelines is not installed")
    age, failed, entry = invented(seed, late=late)
    watched = lives(age, failed, entry)
    curve, hazard, law = kaplan_meier(watched), nelson_aalen(watched), weibull_fit(watched)
    told = {"durations": age, "event_observed": failed, "entry": entry if late else None}

    theirs = lifelines.KaplanMeierFitter().fit(**told)
    assert curve.survival == pytest.approx(
        theirs.survival_function_at_times(curve.duration).to_numpy(), rel=1e-9, abs=1e-12
    )
    band = theirs.confidence_interval_.loc[curve.duration].to_numpy()
    inside = curve.survival > 0.0  # where all have failed they state no band
    assert curve.lower[inside] == pytest.approx(band[inside, 0], rel=1e-6)
    assert curve.upper[inside] == pytest.approx(band[inside, 1], rel=1e-6)
    # Nelson's sum of d/n at each age; theirs spreads ties out unless told not to.
    fitter = lifelines.NelsonAalenFitter(nelson_aalen_smoothing=False).fit(**told)
    assert hazard.cumulative_hazard == pytest.approx(
        fitter.cumulative_hazard_at_times(hazard.duration).to_numpy(), rel=1e-9
    )
    fitted = lifelines.WeibullFitter().fit(**told)
    assert law.shape == pytest.approx(fitted.rho_, rel=1e-4)
    assert law.scale == pytest.approx(fitted.lambda_, rel=1e-4)
    assert law.log_likelihood == pytest.approx(fitted.log_likelihood_, abs=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_groups_differ_as_by_lifelines(seed):
    statistics = pytest.importorskip("lifelines.statistics", reason="lifelines is not installed")
    age, failed, _entry = invented(seed, late=False)
    group = np.arange(age.size) % 3
    ours = log_rank([lives(age[group == g], failed[group == g]) for g in range(3)])
    theirs = statistics.multivariate_logrank_test(age, group, failed)

    assert ours.chi_square == pytest.approx(theirs.test_statistic, rel=1e-9)
    assert ours.p_value == pytest.approx(theirs.p_value, rel=1e-9)


@pytest.mark.parametrize(("glycol", "fluid"), [(Glycol.ETHYLENE, "MEG"), (Glycol.PROPYLENE, "MPG")])
def test_freezing_point_is_that_of_coolprop(glycol, fluid):
    library = pytest.importorskip("CoolProp.CoolProp", reason="CoolProp is not installed")
    for share in np.linspace(0.01, 0.60, 60):
        theirs = library.PropsSI("T_freeze", "T", 300.0, "P", 101325.0, f"INCOMP::{fluid}[{share}]")
        assert float(freezing_point(glycol, share)) == pytest.approx(theirs - 273.15, abs=1e-6)
