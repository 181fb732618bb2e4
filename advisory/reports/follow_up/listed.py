"""The list of units that need a word: what stands on each, and what was done about it already."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np
from django.utils import timezone

from advisory.notices.enums import FollowedBy, FollowReason
from advisory.notices.models import FollowUp
from advisory.people.models import Organisation, Person
from advisory.reports.columns import Among
from advisory.reports.follow_up.standing import Standing, standing_of, units_followed

# After a letter or a call the owner has this long before it stands here again; set by us.
RESTS = timedelta(days=14)
ORDER = {reason: number for number, reason in enumerate(FollowReason)}
# What a letter of ours would not put right: the answer itself is the word.
ANSWERED_THERE = frozenset({FollowReason.WAITING})


@dataclass(frozen=True)
class Reason:
    """One reason, and what was done about it, the newest first."""

    standing: Standing
    done: tuple[FollowUp, ...]
    rests_until: date | None

    @property
    def written(self) -> FollowUp | None:
        """The letter about it."""
        return next((row for row in self.done if row.kind == FollowedBy.LETTER), None)

    @property
    def to_write(self) -> bool:
        """Whether a letter about it may still go."""
        return self.standing.reason not in ANSWERED_THERE and self.written is None


@dataclass(frozen=True)
class Needs:
    """A unit and its reasons, the gravest first."""

    unit: int
    reasons: tuple[Reason, ...]

    @property
    def to_write(self) -> bool:
        """Whether a letter may go about any of them."""
        return any(reason.to_write for reason in self.reasons)

    @property
    def rests_until(self) -> date | None:
        """Until when all of it rests; None where something stands now."""
        ends = [reason.rests_until for reason in self.reasons]
        return None if None in ends else min(end for end in ends if end is not None)

    @property
    def order(self) -> tuple[int, date, int]:
        """What orders units: the gravest reason, the longest standing."""
        first = self.reasons[0].standing
        return ORDER[first.reason], first.since, self.unit


@dataclass
class FollowList:
    """All of a workshop's units that need a word, as far as a person may know."""

    now: list[Needs] = field(default_factory=list)
    resting: list[Needs] = field(default_factory=list)

    def of(self, reason: FollowReason | None, *, resting: bool) -> list[Needs]:
        """Return those with a reason, or all."""
        rows = self.resting if resting else self.now
        if reason is None:
            return rows
        return [row for row in rows if any(r.standing.reason == reason for r in row.reasons)]


def follow_list(workshop: Organisation, by: Person, today: date) -> FollowList:
    """Return the list as it stands now."""
    needs = needs_of(standing_of(units_followed(workshop, by), today), today)
    found = FollowList()
    for each in sorted(needs, key=lambda each: each.order):
        (found.now if each.rests_until is None else found.resting).append(each)
    return found


def needs_of(standing: Iterable[Standing], today: date) -> list[Needs]:
    """Put reasons together by unit, with what was done about each; one query."""
    by_unit: dict[int, list[Standing]] = {}
    for each in standing:
        by_unit.setdefault(each.unit, []).append(each)
    done = _done(by_unit)
    return [
        Needs(
            unit,
            tuple(
                Reason(each, rows, rests_until(rows, today))
                for each in sorted(found, key=lambda one: (ORDER[one.reason], one.since))
                for rows in (done.get((unit, each.reason, each.occasion), ()),)
            ),
        )
        for unit, found in by_unit.items()
    ]


def _done(units: Iterable[int]) -> dict[tuple[int, str, str], tuple[FollowUp, ...]]:
    rows = FollowUp.objects.filter(Among("unit_id", np.array(sorted(units), dtype=np.float64)))
    found: dict[tuple[int, str, str], list[FollowUp]] = {}
    for row in rows.select_related("by").order_by("-raised_at", "-pk"):
        found.setdefault((row.unit_id, row.reason, row.occasion), []).append(row)
    return {key: tuple(each) for key, each in found.items()}


def rests_until(done: Sequence[FollowUp], today: date) -> date | None:
    """Return until when a reason rests: the newest thing that was done about it says so."""
    if not done:
        return None
    newest = done[0]
    end = newest.until or (_day(newest.raised_at) + RESTS)
    return end if end > today else None


def _day(at: datetime) -> date:
    return timezone.localtime(at).date()
