"""What a report is made of: a fingerprint of all that it rests on, and its parts once reckoned."""

import dataclasses
import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from advisory.people import rules
from advisory.people.enums import ConsentScope
from advisory.people.models import Organisation
from advisory.reports.columns import read
from advisory.reports.disclosure import owners_of
from advisory.reports.gathering import Facts
from advisory.reports.models import FleetReport, PreparedReport
from advisory.reports.reckoning import (
    METHOD_VERSION,
    Tables,
    about_club,
    digest_of,
    facts_of_club,
    of_club,
    told_of,
)

# A month without any entry is a month driven less: from then on the same rows say something else.
SAME_FOR_DAYS = 31
Progress = Callable[[int, int], object]


@dataclass(frozen=True)
class Content:
    """A whole report, ready to be kept."""

    rests_on: str
    about: Mapping[str, Any]
    behind: bytes
    parts: list[tuple[str, Tables]]
    # taken over: the day on which its figures were reckoned
    figures_on: date | None = None

    @property
    def digest(self) -> str:
        """Over all parts: two reports of the same content bear the same."""
        return digest_of(self.parts)


def content_of(
    club: Organisation,
    on: date,
    standing: Iterable[FleetReport],
    kept: FleetReport | PreparedReport | None,
    progress: Progress = lambda _done, _wanted: None,
) -> Content:
    """Reckon a club's report, or take it over from `kept` where it rests on the same.

    `standing` are the reports that were given and still stand. What is read at this moment says
    whether it is the same, consents first of all: nothing is taken over of who has withdrawn.
    """
    facts = facts_of_club(club, on)
    rests_on = fingerprint_of(facts, about_club(club))
    if kept is not None and _is_the_same(kept, rests_on, on):
        return dataclasses.replace(taken_over(kept), figures_on=kept.of_day)
    reckoned = of_club(club, on, _apart(standing), facts=facts)
    parts = []
    for choice, tables in reckoned.all_tables():
        parts.append((choice.code, tables))
        progress(len(parts), len(reckoned.choices))
    about = reckoned.about | {"told_of": told_of(reckoned)}
    return Content(rests_on, about, reckoned.behind, parts)


def taken_over(kept: FleetReport | PreparedReport) -> Content:
    """Return what is kept, as it is."""
    return Content(
        kept.rests_on, kept.about, bytes(kept.behind), kept.held_parts(), kept.figures_on
    )


def _is_the_same(kept: FleetReport | PreparedReport, rests_on: str, on: date) -> bool:
    age = (on - kept.of_day).days
    return (
        kept.rests_on == rests_on
        and kept.method_version == METHOD_VERSION
        and 0 <= age <= SAME_FOR_DAYS
    )


def _apart(standing: Iterable[FleetReport]) -> list[tuple[bytes, dict[str, Any]]]:
    """Return what reports told, and what they hold; of the same content once."""
    found: dict[tuple[str, str], tuple[bytes, dict[str, Any]]] = {}
    for report in standing:
        key = (report.rests_on or str(report.pk), report.digest)
        found.setdefault(key, (bytes(report.behind), report.about))
    return list(found.values())


def all_still_consent(club: Organisation, behind: bytes) -> bool:
    """Say whether everybody who is counted in what was reckoned earlier still consents."""
    consenting = read(
        rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED), pk="pk"
    )["pk"]  # fmt: skip
    return bool(np.isin(owners_of(behind), consenting).all())


def fingerprint_of(facts: Facts, about: Mapping[str, Any]) -> str:
    """Return a digest over all that a report rests on but its day.

    It is over what was gathered, not over when rows were changed: so whatever a figure can be made
    of is in it, a withdrawn consent and a row changed in bulk as well.
    """
    digest = hashlib.sha256()
    used, place = np.unique(facts.design, return_inverse=True)
    _add(digest, [facts.designs[each] for each in used])
    _add(digest, place)
    for each in dataclasses.fields(facts):
        if each.name not in {"on", "design", "designs"}:
            _add(digest, getattr(facts, each.name))
    _add(digest, dict(about))
    return digest.hexdigest()


def _add(digest: "hashlib._Hash", value: Any) -> None:
    """Add a value; every kind says what it is, so that no two run into each other."""
    if isinstance(value, np.ndarray):
        digest.update(f"array {value.dtype.str} {value.shape};".encode())
        digest.update(np.ascontiguousarray(value).data)
    elif dataclasses.is_dataclass(value):
        _add(digest, {each.name: getattr(value, each.name) for each in dataclasses.fields(value)})
    elif isinstance(value, Mapping):
        _add(digest, [each for name in sorted(value) for each in (name, value[name])])
    elif isinstance(value, frozenset):
        _add(digest, sorted(value))
    elif isinstance(value, list | tuple):
        digest.update(f"list {len(value)};".encode())
        for each in value:
            _add(digest, each)
    elif value is None or isinstance(value, str | int | float):
        digest.update(f"{type(value).__name__} {value!r};".encode())
    else:
        raise TypeError(f"no fingerprint of {type(value).__name__}")
