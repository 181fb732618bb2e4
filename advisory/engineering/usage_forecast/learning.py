"""Learning of a fleet what is then believed of each of its cars."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.usage_forecast import assumptions as assumed
from advisory.engineering.usage_forecast.belief import Belief, believe
from advisory.engineering.usage_forecast.fleet import DEFAULT_FLEET, Fleet
from advisory.engineering.usage_forecast.uses import Uses

_ROUNDS = 8
_MOST_CARS = 5_000  # more teach nothing new of a season
_CALM = 6.0  # times the spread: what lies farther off counts as this
_SHORT = 0.02  # of a year's use: too short to tell a spread
_CLUSTERING = (60e3, 3_000e3)
_MARGIN = 1.35  # what the spread is short of, as the rate is reckoned from the same readings


def learn_fleet(uses: Uses) -> Fleet:
    """Learn season, yearly distance and spread over cars, shrunk to the stated defaults.

    Parameters
    ----------
    uses : Uses
        The cars; of more than 5000, so many are taken, evenly.

    Returns
    -------
    Fleet
        The default where no car has two readings.

    Notes
    -----
    Each car weighs by the years over which it was watched, not by its distance. What was driven in
    a stretch is dealt out over its months by the season as it is believed so far, and the season is
    reckoned anew from that, again and again.

    References
    ----------
    A. P. Dempster, N. M. Laird, D. B. Rubin, J. R. Stat. Soc. B 39 (1977) 1-38 (from memory).
    """
    counts = np.diff(uses.starts)
    telling = np.flatnonzero(counts > 1)
    if not len(telling):
        return DEFAULT_FLEET
    if len(telling) > _MOST_CARS:
        telling = telling[np.linspace(0, len(telling) - 1, _MOST_CARS).astype(int)]
    some = uses.those(telling)
    fleet = DEFAULT_FLEET
    for _ in range(_ROUNDS):
        belief = believe(some, fleet)
        seasons, watched = _seasons(belief)
        mean, shape = _annual(belief)
        fleet = replace(
            fleet,
            seasons=seasons,
            shares=_kinds(belief),
            annual_mean=mean,
            annual_shape=shape,
            clustering=_clustering(belief),
        )
    learnt = watched / (watched + assumed.SEASON_COUNTS_YEARS)
    return replace(fleet, cars=int((counts > 1).sum()), learnt=learnt)


def _seasons(belief: Belief) -> tuple[tuple[tuple[float, ...], ...], float]:
    """Return the season of each kind, and over how many years cars were watched."""
    found = []
    stretches, season = belief.stretches, belief.in_use.season
    begins, ends = season.places(stretches.begins), season.places(stretches.ends)
    months = season.by_month[:, ends] - season.by_month[:, begins]
    rate = belief.annual[stretches.cars]
    for kind, shares in enumerate(season.kinds):
        weight = belief.chance[kind, stretches.cars] * (1.0 - belief.stood)
        use = np.maximum(shares @ months, 1e-3)
        # one stretch of much driving must not stand for the whole season
        driven = np.minimum(stretches.metres / rate, 4.0 * use + 0.2)
        dealt = (weight * driven / use * months).sum(axis=1) * shares
        watched = (weight * months).sum(axis=1)
        default = assumed.SEASON_COUNTS_YEARS * DEFAULT_FLEET.shares[kind]
        new = dealt + default * np.asarray(DEFAULT_FLEET.seasons[kind])
        new /= watched + default
        found.append(tuple((new / new.sum()).tolist()))
    years = float((stretches.ends - stretches.begins).sum() / 365.25)
    return tuple(found), years


def _kinds(belief: Belief) -> tuple[float, ...]:
    count = assumed.DEFAULTS_COUNT_CARS
    total = belief.chance.sum(axis=1) + count * np.asarray(DEFAULT_FLEET.shares)
    return tuple((total / total.sum()).tolist())


def _annual(belief: Belief) -> tuple[float, float]:
    """Return mean and shape of the yearly distance; guesses of owners are not the fleet's."""
    from scipy.special import digamma  # here, so that importing the package stays quick

    own = np.isnan(belief.uses.expected_annual)
    count = assumed.DEFAULTS_COUNT_CARS
    mean = belief.annual[own]
    log = digamma(belief.shape[own]) + np.log(mean / belief.shape[own])
    prior_shape, prior_mean = DEFAULT_FLEET.annual_shape, DEFAULT_FLEET.annual_mean
    of_prior = float(digamma(prior_shape) + np.log(prior_mean / prior_shape))
    cars = len(mean) + count
    middle = (float(mean.sum()) + count * prior_mean) / cars
    gap = float(np.log(middle)) - (float(log.sum()) + count * of_prior) / cars
    shape = (3.0 - gap + float(np.sqrt((gap - 3.0) ** 2 + 24.0 * gap))) / (12.0 * gap)
    return middle, float(np.clip(shape, 0.5, 12.0))


def _clustering(belief: Belief) -> float:
    """Return the variance of the distance in a stretch over its mean, less that of the years."""
    stretches, n = belief.stretches, belief.uses.n
    cars, metres = stretches.cars, stretches.metres
    use: FloatArray = (belief.chance[:, cars] * belief.use).sum(axis=0)
    driven, used = np.bincount(cars, metres, n), np.bincount(cars, use, n)
    # its own rate, all but unshrunk, as what is left over tells the spread
    rate = ((driven + 0.05 * belief.fleet.annual_mean) / (used + 0.05))[cars]
    often = np.bincount(cars, minlength=n)[cars] > 1
    told = often & (use > _SHORT) & (belief.stood < 0.5)
    rate, use, metres, own = rate[told], use[told], metres[told], (use / used[cars])[told]
    left = (metres - rate * use) ** 2 / (rate * use) / (1.0 - np.minimum(own, 0.95))
    of_years = assumed.YEARS_DIFFER**2 * rate * np.minimum(use, 1.0)
    weigh = np.minimum(use, 1.0)
    default = DEFAULT_FLEET.clustering
    usual = default + (float(of_years.mean()) if told.any() else 0.0)
    count = assumed.DEFAULTS_COUNT_CARS / usual**2
    found = default
    for _ in range(12):
        spread = found + of_years
        weight = weigh / spread**2
        calm = np.minimum(left, _CALM * spread) - of_years
        found = float(((weight * calm).sum() + count * default) / (weight.sum() + count))
        found = float(np.clip(found, *_CLUSTERING))
    return float(np.clip(_MARGIN * found, *_CLUSTERING))
