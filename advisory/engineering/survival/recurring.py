"""Findings that recur: how many each unit has had by an age, on the mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange


@dataclass(frozen=True)
class WatchedUnit:
    """One unit and what happened to it.

    Parameters
    ----------
    end : float
        Age when last seen, in any one unit.
    findings : tuple of float
        Ages of its findings, each after entry and at most at the end; one age may recur.
    entry : float
        Age at which watching began.
    """

    end: float
    findings: tuple[float, ...] = ()
    entry: float = 0.0


@dataclass(frozen=True)
class MeanCumulativeCount:
    """Findings a unit by age, on the mean of the units watched.

    Parameters
    ----------
    age : ndarray
        Ages at which there was any, rising.
    count, standard_error : ndarray
        Findings a unit up to each age, and its robust standard error.
    at_risk, findings : ndarray
        Units watched and findings at each age.
    """

    age: FloatArray
    count: FloatArray
    standard_error: FloatArray
    at_risk: FloatArray
    findings: FloatArray


def mean_cumulative_count(units: Sequence[WatchedUnit]) -> MeanCumulativeCount:
    """Estimate how many findings a unit has had by each age.

    Parameters
    ----------
    units : sequence of WatchedUnit
        At least one.

    Returns
    -------
    MeanCumulativeCount
        Empty arrays where there was no finding.

    Raises
    ------
    OutOfRange
        For no unit, an end that is not after its entry, or a finding outside both.

    References
    ----------
    W. B. Nelson, Recurrent Events Data Analysis for Product Repairs, SIAM 2003: M(t) the sum of
    d_k/n_k. Robust variance, which lets a unit's findings hang together: J. F. Lawless, C. Nadeau,
    Technometrics 37 (1995) 158-168: sum over units of [sum over k of (Y_ik/n_k)(N_ik -
    d_k/n_k)]^2.

    Examples
    --------
    >>> units = [WatchedUnit(10.0, (4.0,)), WatchedUnit(8.0, (4.0, 6.0))]
    >>> mean_cumulative_count(units).count.tolist()
    [1.0, 1.5]
    """
    if not units:
        raise OutOfRange("units", "at least one", "none")
    end = require("end", np.array([u.end for u in units]), above=0.0)
    entry = require("entry", np.array([u.entry for u in units]), at_least=0.0)
    late = ~(entry < end)
    if late.any():
        raise OutOfRange("entry", "below its end", float(entry[late][0]))
    owner = np.repeat(np.arange(len(units)), [len(u.findings) for u in units])
    found = require("findings", np.array([t for u in units for t in u.findings]))
    outside = ~((found > entry[owner]) & (found <= end[owner]))
    if outside.any():
        raise OutOfRange("findings", "after entry and at most at the end", float(found[outside][0]))
    ages, place = np.unique(found, return_inverse=True)
    own = np.zeros((len(units), ages.size))
    np.add.at(own, (owner, place), 1.0)
    watched = (entry[:, None] < ages) & (end[:, None] >= ages)
    at_risk = watched.sum(axis=0).astype(np.float64)
    total = own.sum(axis=0)
    mean = total / at_risk
    apart = np.cumsum(np.where(watched, (own - mean) / at_risk, 0.0), axis=1)
    return MeanCumulativeCount(
        age=ages,
        count=np.cumsum(mean),
        standard_error=np.sqrt((apart**2).sum(axis=0)),
        at_risk=at_risk,
        findings=total,
    )
