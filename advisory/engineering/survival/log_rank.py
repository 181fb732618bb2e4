"""Whether groups of lives differ: the log-rank test, for any number of groups."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival.lives import Lives

SMALL_GROUP = 10
"""Below so many lives in a group the test says 'differ' too often (6.3 % in place of 5 % at five
and five, by simulation): the p-value by permutation stands beside it."""

PERMUTATIONS = 4999
"""Deals of the lives to the groups: every one there is, or so many drawn where they are more."""

_SEED = 19660612  # fixed, so that the same lives always give the same answer
_LARGEST_PERMUTED = 500  # lives; beyond, a group of fewer than ten is a sliver of the whole
_AT_ONCE = 250  # deals that are reckoned together: some megabytes


@dataclass(frozen=True)
class LogRank:
    """The log-rank test of groups.

    Parameters
    ----------
    chi_square : float
        The statistic.
    degrees_of_freedom : int
        Groups less one; less where groups were never watched at the same age.
    p_value : float
        By the chi-square law.
    permutation_p_value : float or None
        By dealing the lives out to the groups in every way there is, or where those are too many,
        again and again; only where a group is small.
    n : tuple of int
        Lives of each group.
    observed, expected : tuple of float
        Failures of each group, and how many there would be if all were alike.
    """

    chi_square: float
    degrees_of_freedom: int
    p_value: float
    permutation_p_value: float | None
    n: tuple[int, ...]
    observed: tuple[float, ...]
    expected: tuple[float, ...]


def log_rank(groups: Sequence[Lives]) -> LogRank:
    """Test whether groups fail alike.

    Parameters
    ----------
    groups : sequence of Lives
        Two or more, with censoring and late entry.

    Returns
    -------
    LogRank

    Raises
    ------
    OutOfRange
        For fewer than two groups, no failure in any, or groups that were never watched at the same
        age.

    References
    ----------
    N. Mantel, Cancer Chemother. Rep. 50 (1966) 163-170; R. Peto, J. Peto, J. R. Stat. Soc. A 135
    (1972) 185-207; variance with ties by the hypergeometric law.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> soon = lives([1.0, 2.0, 3.0], [True, True, True])
    >>> late = lives([6.0, 7.0, 8.0], [True, True, True])
    >>> round(log_rank([soon, late]).chi_square, 2)
    5.05
    """
    if len(groups) < 2:
        raise OutOfRange("group", "two or more", len(groups))
    pooled = Lives(
        np.concatenate([g.duration for g in groups]),
        np.concatenate([g.failed for g in groups]),
        np.concatenate([g.entry for g in groups]),
    )
    if not pooled.failures:
        raise OutOfRange("failed", "true for at least one life", "false for all")
    group = np.repeat(np.arange(len(groups)), [g.n for g in groups])
    member = (group[:, None] == np.arange(len(groups))).astype(np.float64)
    ages, failed, at_risk = pooled.times()
    watched = (pooled.entry[None, :] < ages[:, None]) & (pooled.duration[None, :] >= ages[:, None])
    failing = pooled.failed[None, :] & (pooled.duration[None, :] == ages[:, None])
    table = _Table(watched.astype(np.float64), failing.astype(np.float64), failed, at_risk)
    observed, expected, variance = table.of(member)
    rank = int(np.linalg.matrix_rank(variance, tol=1e-9 * max(float(np.trace(variance)), 1e-300)))
    if rank == 0:
        raise OutOfRange("group", "such that two are watched at the same age", "none is")
    chi_square = _statistic(observed - expected, variance)
    permuted = None
    if min(g.n for g in groups) < SMALL_GROUP and pooled.n <= _LARGEST_PERMUTED:
        permuted = _permutation_p_value(table, member, chi_square)
    return LogRank(
        chi_square=chi_square,
        degrees_of_freedom=rank,
        p_value=_chi_square_tail(chi_square, rank),
        permutation_p_value=permuted,
        n=tuple(g.n for g in groups),
        observed=tuple(float(o) for o in observed),
        expected=tuple(float(e) for e in expected),
    )


@dataclass(frozen=True)
class _Table:
    """Who was watched and who failed at each age: all that the test needs of the lives."""

    watched: FloatArray  # ages by lives
    failing: FloatArray  # ages by lives
    failed: FloatArray  # ages
    at_risk: FloatArray  # ages

    @property
    def spread(self) -> FloatArray:
        """Failures at each age, less what ties take off their variance."""
        return self.failed * np.where(
            self.at_risk > 1.0,
            (self.at_risk - self.failed) / np.maximum(self.at_risk - 1.0, 1.0),
            0.0,
        )

    def of(self, member: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Observed and expected failures and their covariance, for lives dealt out to groups."""
        share = (self.watched @ member) / self.at_risk[:, None]
        observed = (self.failing @ member).sum(axis=0)
        expected = self.failed @ share
        spread = self.spread
        variance = np.diag(spread @ share) - (share * spread[:, None]).T @ share
        return np.asarray(observed), np.asarray(expected), np.asarray(variance)


def _statistic(difference: FloatArray, variance: FloatArray) -> float:
    return float(difference @ np.linalg.pinv(variance, rcond=1e-9, hermitian=True) @ difference)


def _permutation_p_value(table: _Table, member: FloatArray, chi_square: float) -> float:
    """Share of the deals whose statistic is as great as the one found."""
    group = np.argmax(member, axis=1).astype(np.int8)
    every = _every_deal(group)
    if every is not None:
        return float((_of_two(table, every) >= chi_square * (1.0 - 1e-9)).mean())
    generator = np.random.default_rng(_SEED)
    groups = member.shape[1]
    reached = 0
    for start in range(0, PERMUTATIONS, _AT_ONCE):
        deals = min(_AT_ONCE, PERMUTATIONS - start)
        dealt = generator.permuted(np.tile(group, (deals, 1)), axis=1)
        statistic = _of_two(table, dealt == 0) if groups == 2 else _of_several(table, dealt, groups)
        reached += int((statistic >= chi_square * (1.0 - 1e-9)).sum())
    return (1 + reached) / (1 + PERMUTATIONS)


def _every_deal(group: NDArray[np.int8]) -> NDArray[np.bool_] | None:
    """Return which lives fall to the first of two groups in each deal; None where too many."""
    lives, first = group.size, int((group == 0).sum())
    if group.max() > 1 or math.comb(lives, first) > PERMUTATIONS:
        return None
    chosen = np.array(list(combinations(range(lives), first)))
    deals = np.zeros((len(chosen), lives), dtype=np.bool_)
    np.put_along_axis(deals, chosen, values=True, axis=1)
    return deals


def _of_two(table: _Table, first: NDArray[np.bool_]) -> FloatArray:
    """Statistic of each deal between two groups, a row each: one number stands for both."""
    member = first.T.astype(np.float64)
    share = table.watched @ member / table.at_risk[:, None]
    difference = table.failing.sum(axis=0) @ member - table.failed @ share
    variance = table.spread @ (share * (1.0 - share))
    known = variance > 0.0
    return np.where(known, difference**2 / np.where(known, variance, 1.0), 0.0)


def _of_several(table: _Table, dealt: NDArray[np.int8], groups: int) -> FloatArray:
    """Statistic of each deal among several groups, a row each."""
    deals, lives = dealt.shape
    members = (dealt.T[:, :, None] == np.arange(groups)).astype(np.float64)
    flat = members.reshape(lives, deals * groups)
    share = (table.watched @ flat / table.at_risk[:, None]).reshape(-1, deals, groups)
    failing = (table.failing.sum(axis=0) @ flat).reshape(deals, groups)
    difference = failing - np.tensordot(table.failed, share, 1)
    by_deal = share.transpose(1, 2, 0)
    variance = -(by_deal * table.spread) @ by_deal.transpose(0, 2, 1)
    variance[:, np.arange(groups), np.arange(groups)] += by_deal @ table.spread
    inverse = np.linalg.pinv(variance, rcond=1e-9, hermitian=True)
    return np.asarray(np.einsum("dg,dgh,dh->d", difference, inverse, difference))


def _chi_square_tail(chi_square: float, degrees_of_freedom: int) -> float:
    from scipy.special import gammaincc  # here, so that importing the package stays quick

    return float(gammaincc(0.5 * degrees_of_freedom, 0.5 * chi_square))
