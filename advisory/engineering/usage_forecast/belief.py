"""What is believed of the yearly distance and the kind of many cars, from their readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.usage_forecast import assumptions as assumed
from advisory.engineering.usage_forecast.fleet import DEFAULT_FLEET, Fleet
from advisory.engineering.usage_forecast.season import InUse, season_of, year_of
from advisory.engineering.usage_forecast.uses import Days, Stretches, Uses

YEAR = 365.25
_LEAST_USE = 1e-3  # of a year: some distance is believed in any spell, however deep the winter
_ROUNDS = 2  # the second with the spread that goes with the rate found in the first


@dataclass(frozen=True)
class Belief:
    """Gamma distributions of the yearly distance of many cars, by the kind that each may be.

    Parameters
    ----------
    uses : Uses
        The cars.
    fleet : Fleet
        What is believed of their like.
    in_use : InUse
        Their use by the calendar.
    shape : ndarray, shape (n,)
        Shape of each car's distribution.
    mean : ndarray, shape (kinds, n)
        Its mean [m] where the car is of a kind.
    chance : ndarray, shape (kinds, n)
        Chance that a car is of a kind.
    stretches : Stretches
        What was driven between readings.
    use : ndarray, shape (kinds, m)
        Use in each stretch, as a share of a year, less what it may have stood.
    stood : ndarray, shape (m,)
        Chance that the car stood for long in each stretch.
    """

    uses: Uses
    fleet: Fleet
    in_use: InUse
    shape: FloatArray
    mean: FloatArray
    chance: FloatArray
    stretches: Stretches
    use: FloatArray
    stood: FloatArray

    @property
    def annual(self) -> FloatArray:
        """Mean of the yearly distance of each car [m]."""
        found: FloatArray = (self.chance * self.mean).sum(axis=0)
        return found

    def driven_since(self, cars: Days, until: Days) -> FloatArray:
        """Return the distance that is expected after the last readings of cars [m]."""
        use = self.in_use.between(cars, self.uses.last_days[cars], until)
        found: FloatArray = (self.chance[:, cars] * self.mean[:, cars] * use).sum(axis=0)
        return found


def believe(uses: Uses, fleet: Fleet = DEFAULT_FLEET) -> Belief:
    """Weigh the readings of many cars against what is known of their fleet.

    Parameters
    ----------
    uses : Uses
        The cars.
    fleet : Fleet
        What is believed of a car before its readings are looked at.

    Returns
    -------
    Belief
        A first reading alone gives the owner's guess, or the fleet's distribution.

    Notes
    -----
    Distance over the variance of trips and years counts as a number of events; the likelihood of a
    rate is then that of Poisson data with exposure, and so is that of the car's kind, whose season
    gives the exposure. A stretch in which far less was driven than the rate tells may be one in
    which the car was off the road: it is then counted with less use.

    References
    ----------
    A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6: gamma prior and Poisson data
    with exposure; P. McCullagh, J. A. Nelder, Generalized Linear Models, 2nd ed., section 9.2:
    quasi-likelihood with a dispersion (both from memory).
    """
    stretches = Stretches.of(uses)
    first = int(uses.lay_up_from.min(initial=uses.days.min()))
    last = int(uses.last_days.max())
    season = season_of(fleet.seasons, year_of(first), year_of(last + assumed.HORIZON) + 1)
    in_use = InUse(season, uses)
    cars, metres, n = stretches.cars, stretches.metres, uses.n
    full = np.maximum(in_use.between(cars, stretches.begins, stretches.ends), _LEAST_USE)
    age = uses.last_days[cars] - stretches.ends
    weight = 0.5 ** (age / assumed.EVIDENCE_HALVES)
    driven = np.bincount(cars, weight * metres, n)
    guessed = ~np.isnan(uses.expected_annual)
    prior_mean = np.where(guessed, uses.expected_annual, fleet.annual_mean)
    prior_shape = np.where(guessed, assumed.GUESS_SHAPE, fleet.annual_shape)
    use, stood = full, np.zeros(len(cars))
    rate = prior_mean
    for round_ in range(_ROUNDS):
        spread = fleet.clustering + assumed.YEARS_DIFFER**2 * rate
        events = driven / spread
        used = np.array([np.bincount(cars, weight * one, n) for one in use])
        shape = prior_shape + events
        inverse = prior_shape / prior_mean + used / spread
        fits = np.array([np.bincount(cars, weight * metres * np.log(one), n) for one in use])
        # a car that is laid up when its like would run is of another kind
        fits = fits - in_use.lost * rate
        chance = _chances(fleet, shape, inverse, prior_shape, prior_mean, fits / spread)
        mean = shape / inverse
        rate = (chance * mean).sum(axis=0)
        if round_ < _ROUNDS - 1:
            expected = rate[cars] * (chance[:, cars] * full).sum(axis=0)
            stood, left = _standing(stretches, expected, metres, spread[cars])
            use = np.maximum(full * (1.0 - stood * (1.0 - left)), _LEAST_USE)
    return Belief(uses, fleet, in_use, shape, mean, chance, stretches, use, stood)


def _chances(
    fleet: Fleet,
    shape: FloatArray,
    inverse: FloatArray,
    prior_shape: FloatArray,
    prior_mean: FloatArray,
    fits: FloatArray,
) -> FloatArray:
    """Return the chance of each kind: its share in the fleet, times its marginal likelihood."""
    from scipy.special import gammaln  # here, so that importing the package stays quick

    log = (
        np.log(np.maximum(fleet.shares, 1e-12))[:, None]
        + prior_shape * np.log(prior_shape / prior_mean)
        - shape * np.log(inverse)
        + gammaln(shape)
        - gammaln(prior_shape)
        + fits
    )
    likely = np.exp(log - log.max(axis=0))
    chances: FloatArray = likely / likely.sum(axis=0)
    return chances


def _standing(
    stretches: Stretches, expected: FloatArray, metres: FloatArray, spread: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the chance that a car was off the road in a stretch, and the use that this leaves."""
    days = stretches.ends - stretches.begins
    left = np.clip(1.0 - assumed.OFF_ROAD_DAYS / (days + assumed.OFF_ROAD_DAYS / 2), 0.02, 1.0)
    before = np.minimum(assumed.OFF_ROAD_A_YEAR * (days + 0.7 * assumed.OFF_ROAD_DAYS) / YEAR, 0.5)
    # likelihood of so little distance, standing over driving
    log_ratio = (metres * np.log(left) + expected * (1.0 - left)) / spread
    odds = before / (1.0 - before) * np.exp(np.clip(log_ratio, -50.0, 50.0))
    return odds / (1.0 + odds), left
