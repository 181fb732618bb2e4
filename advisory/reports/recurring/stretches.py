"""Stretches of time in which what a finding is counted under does not change.

Days are ordinals; a stretch holds its first day and not its last. A subject is whatever is watched:
a unit, or one place of it.
"""

from dataclasses import dataclass

import numpy as np

from advisory.reports.columns import Column
from advisory.reports.gathering.distances import Places

# Days of a subject stand under its number times this: no day is as great.
_A_SUBJECT = 1 << 22
DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class Stretches:
    """Stretches in order of subject and day, each with what it is counted under."""

    subject: Places
    begin: Column
    until: Column
    value: Places

    @property
    def years(self) -> Column:
        """How long each is."""
        return (self.until - self.begin) / DAYS_A_YEAR

    def holding(self, subject: Places, days: Column) -> Places:
        """Return the stretch that holds each day of a subject; -1 where none does."""
        if not self.subject.size:
            return np.full(subject.shape, -1, dtype=np.int64)
        keys = self.subject * _A_SUBJECT + self.begin.astype(np.int64)
        found = np.searchsorted(keys, subject * _A_SUBJECT + days.astype(np.int64), "right") - 1
        place = np.maximum(found, 0)
        held = (found >= 0) & (self.subject[place] == subject) & (days < self.until[place])
        return np.where(held, place, -1)


def cut(
    begin: Column,
    until: Column,
    changed: Places,
    days: Column,
    values: Places,
    *,
    before: int,
) -> Stretches:
    """Cut each subject's time where its value changes; `before` is the value until the first.

    `changed` are the subjects of the changes, places in `begin`; of several on a day the last one
    given counts.
    """
    subjects = np.arange(begin.size)
    subject = np.concatenate([subjects, changed])
    day = np.concatenate([np.zeros(begin.size), days])
    value = np.concatenate([np.full(begin.size, before, dtype=np.int64), values])
    order = np.lexsort((day, subject))
    subject, day, value = subject[order], day[order], value[order]
    last = np.ones(subject.size, dtype=bool)
    last[:-1] = subject[1:] != subject[:-1]
    following = np.full(subject.size, np.inf)
    following[:-1] = day[1:]
    end = np.minimum(np.where(last, np.inf, following), until[subject])
    start = np.maximum(day, begin[subject])
    kept = end > start
    return Stretches(subject[kept], start[kept], end[kept], value[kept])
