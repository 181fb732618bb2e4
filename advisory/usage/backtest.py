"""How well days are foretold, on the readings in the service itself."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from advisory.engineering import usage_forecast as forecasting
from advisory.engineering.arguments import FloatArray

#: By how many readings a forecast was made: least and most.
CLASSES = ((1, 1), (2, 4), (5, 9), (10, None))
#: Of a car's readings so many are hidden, and one at least.
HIDDEN = 1 / 3
#: Days farther off than this count as this: three years.
CAP = 1095
_LEVELS = np.array([0.1, 0.5, 0.9])


@dataclass(frozen=True)
class Scored:
    """How well the days of some cars were foretold, by their readings: least and most."""

    least: int
    most: int | None
    cars: int
    median_error: float
    pinball: float
    holds: float


@dataclass(frozen=True)
class Backtest:
    """All cars by how many readings they had left, and how well their true days are known.

    A true day lies between two readings, by a straight line; `known_to` is half of what lies
    between them, in the middle.
    """

    classes: Sequence[Scored]
    known_to: float


@dataclass(frozen=True)
class _Case:
    shown: forecasting.Use
    metres: float
    day: float
    known_to: float


def backtest(uses: Iterable[forecasting.Use]) -> Backtest | None:
    """Hide the last readings of each car, foretell, and score; None where no car has moved.

    Season and spread are learnt from what isn't hidden. The distance foretold lies half-way
    between the last two hidden distances that differ.
    """
    cases = [case for use in uses if (case := _hide(use)) is not None]
    if not cases:
        return None
    known = forecasting.Uses.of([case.shown for case in cases])
    metres = np.array([case.metres for case in cases])
    fleet = forecasting.learn_fleet(known)
    days = forecasting.days_reached(known, metres, fleet) - known.last_days[:, None]
    found = np.minimum(np.where(np.isnan(days), CAP, days), CAP)
    truth = np.minimum(np.array([case.day for case in cases]) - known.last_days, CAP)
    counts = np.array([len(case.shown.days) for case in cases])
    classes = [(1, None), *CLASSES]
    scored = [_score(found, truth, counts, least, most) for least, most in classes]
    return Backtest(
        classes=[one for one in scored if one is not None],
        known_to=float(np.median([case.known_to for case in cases])),
    )


def _hide(use: forecasting.Use) -> _Case | None:
    left = len(use.days) - max(1, round(HIDDEN * len(use.days)))
    if left < 1:
        return None
    risen = [at for at in range(left, len(use.days)) if use.metres[at] > use.metres[at - 1]]
    if not risen:
        return None
    after = risen[-1]
    before = after - 1
    metres = (use.metres[before] + use.metres[after]) / 2
    if metres <= use.metres[left - 1]:
        return None
    shown = forecasting.Use(
        days=use.days[:left],
        metres=use.metres[:left],
        today=use.days[left - 1],
        # an owner may have told of a lay-up that had begun; nobody knew of those to come
        lay_ups=tuple(spell for spell in use.lay_ups if spell[0] <= use.days[left - 1]),
        expected_annual=use.expected_annual,
    )
    between = use.days[after] - use.days[before]
    return _Case(shown, metres, use.days[before] + between / 2, between / 2)


def _score(
    found: FloatArray, truth: FloatArray, counts: np.ndarray, least: int, most: int | None
) -> Scored | None:
    chosen = (counts >= least) & (counts <= (most or counts.max()))
    if not chosen.any():
        return None
    days, true_days = found[chosen], truth[chosen]
    off = true_days[:, None] - days
    return Scored(
        least=least,
        most=most,
        cars=int(chosen.sum()),
        median_error=float(np.median(np.abs(off[:, 1]))),
        pinball=float(np.mean(np.maximum(_LEVELS * off, (_LEVELS - 1) * off))),
        holds=float(np.mean((days[:, 0] <= true_days) & (true_days <= days[:, 2]))),
    )
