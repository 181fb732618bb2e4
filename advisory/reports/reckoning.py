"""A whole report: what may be asked for, and the tables of each choice."""

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np

from advisory.findings.models import Finding
from advisory.people import rules
from advisory.people.enums import ConsentScope, OrganisationKind
from advisory.people.models import Membership, Organisation, Person
from advisory.register.models import Unit
from advisory.reports.columns import two_at_once
from advisory.reports.disclosure import Contributions, Ledger, packed, unpacked
from advisory.reports.enums import Filtered, Period
from advisory.reports.figures import (
    ALL,
    OF_A_CLUB,
    OF_A_WORKSHOP,
    Admission,
    Choice,
    Manners,
    Prepared,
    tables_of,
)
from advisory.reports.gathering import FILTRATIONS, GROUPS, Facts, gather

METHOD_VERSION = "2"
# A list that nobody reads to its end helps nobody; the designs with most units come first.
MOST_DESIGNS = 24
Tables = dict[str, list[dict[str, Any]]]


@dataclass
class Reckoned:
    """A report in the making: its choices, and their tables one by one."""

    prepared: Prepared
    manners: Manners
    columns: dict[str, Contributions]
    ledgers: dict[str, Ledger]
    about: dict[str, Any] = field(default_factory=dict)
    choices: list[Choice] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Settle what may be asked for before anything is told."""
        self._settle()

    @property
    def facts(self) -> Facts:
        """What it is about."""
        return self.prepared.facts

    def _settle(self) -> None:
        self._ask_first()
        designs = self.facts.designs
        units = np.bincount(self.facts.design, minlength=len(designs))
        by_units = sorted(range(len(designs)), key=lambda place: -units[place])
        present = [place for place in by_units if units[place]]
        kinds = list(dict.fromkeys(designs[place].kind for place in present))
        groups: list[tuple[str, list[int], str]] = [(ALL, list(range(len(designs))), "")]
        if len(kinds) > 1:
            groups += [
                (f"kind-{kind}", [p for p in range(len(designs)) if designs[p].kind == kind], kind)
                for kind in kinds
            ]
        groups += [(designs[p].key, [p], designs[p].name) for p in present[:MOST_DESIGNS]]
        offered = []
        for key, places, label in groups:
            if self._admission(Choice(key, tuple(places), Period.ALL))("units"):
                offered.append({"key": key, "label": label})
                self.choices += [Choice(key, tuple(places), period) for period in Period]
        self.about = {
            "choices": offered,
            # no other design is named anywhere: whose it is would be told with it
            "designs": {
                designs[p].key: designs[p].name for p in present if self._told(designs[p].key, p)
            },
            "periods": [period.value for period in Period],
        }

    def _ask_first(self) -> None:
        """Ask for what matters most before anything that could cost it: all, then by filter."""
        everything = tuple(range(len(self.facts.designs)))
        may = self._admission(Choice(ALL, everything, Period.ALL))
        for column in self.ledgers:
            may(column)
        may("done", {"oil": [1]})
        kinds = np.bincount(self.prepared.filtration, minlength=len(FILTRATIONS))
        for place in sorted(range(len(FILTRATIONS)), key=lambda place: -kinds[place]):
            for column in ("units", "planned", "done", "driven"):
                may(column, {"filtration": [place]})
        for kind in (Filtered.WITH, Filtered.WITHOUT):
            may("watched", {"group": [GROUPS.index(kind)]})

    def _told(self, key: str, place: int) -> bool:
        return self._admission(Choice(key, (place,), Period.ALL))("units")

    def _admission(self, choice: Choice) -> Admission:
        return Admission(choice, self.ledgers, self.manners)

    def tables(self, choice: Choice) -> Tables:
        """Reckon the tables of one choice; ask in the order of `choices`."""
        return tables_of(self.prepared, self._admission(choice))

    def all_tables(self) -> Iterator[tuple[Choice, Tables]]:
        """Reckon the tables of every choice: all designs first, they lose least."""
        order = list(Period)
        chosen = sorted(
            self.choices, key=lambda c: (c.key != ALL, order.index(c.period) if c.key == ALL else 0)
        )
        for choice in chosen:
            yield choice, self.tables(choice)

    @property
    def behind(self) -> bytes:
        """Who brought what, for the reports after this one."""
        return packed(self.columns)


def facts_of_club(club: Organisation, on: date) -> Facts:
    """Gather a club's facts: only owners whose consent stands at this moment count."""
    owners = rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED)
    return gather(Unit.objects.filter(owner__in=owners), Finding.objects.all(), on)


def about_club(club: Organisation) -> dict[str, Any]:
    """Say who let their names be read, and what part of the members let themselves be counted."""
    owners = rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED)
    named = rules.consenting(club, ConsentScope.NAMED).values_list("pk", flat=True)
    return {"named": sorted(named), "members": _members(club, owners.count())}


def of_club(
    club: Organisation,
    on: date,
    earlier: Sequence[tuple[bytes, dict[str, Any]]],
    *,
    facts: Facts | None = None,
) -> Reckoned:
    """Begin a club's report: only owners whose consent stands at this moment count.

    `earlier` are the reports that stand: what they hold, and what they are about. `facts` are those
    of this moment, where they are at hand.
    """
    about = about_club(club)
    facts = facts or facts_of_club(club, on)
    named = frozenset(about["named"])
    prepared = Prepared(facts)
    columns = prepared.columns()
    before = [unpacked(held) for held, _about in earlier]

    def ledger(name: str) -> Ledger:
        return Ledger(
            columns[name],
            # a column of which nothing was told gives nothing away
            [
                each[name]
                for each, (_held, about) in zip(before, earlier, strict=True)
                if name in each and name in about.get("told_of", ())
            ],
            known=named if name == "planned" else frozenset(),
        )

    ledgers = dict(zip(columns, two_at_once(ledger, columns), strict=True))
    reckoned = Reckoned(prepared, OF_A_CLUB, columns, ledgers)
    reckoned.about |= about
    return reckoned


def of_workshop(workshop: Organisation, by: Person, on: date) -> Reckoned:
    """Begin a workshop's report over the units that this member may look into."""
    units = rules.scope(by, rules.Permission.VIEW_USE, Unit.objects.filter(workshop=workshop))
    findings = rules.scope(by, rules.Permission.VIEW_FINDING, Finding.objects.all())
    facts = gather(units, findings, on)
    prepared = Prepared(facts)
    columns = prepared.columns()
    ledgers = {name: Ledger(column, least=1) for name, column in columns.items()}
    return Reckoned(prepared, OF_A_WORKSHOP, columns, ledgers)


def _members(club: Organisation, consenting: int) -> dict[str, int | None]:
    """Say how many let themselves be counted, and roughly what part of the members that is.

    In tenths, downwards: the exact number of those who do not is about people as well.
    """
    assert club.kind == OrganisationKind.CLUB
    members = Membership.objects.filter(organisation=club).count()
    if consenting < OF_A_CLUB.owners:
        return {"tenths": None}
    if members < consenting:
        return {"tenths": None}
    return {"tenths": consenting * 10 // members}


def digest_of(parts: Sequence[tuple[str, Tables]]) -> str:
    """Return a digest over the tables of all choices."""
    text = json.dumps(sorted(parts, key=lambda each: each[0]), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def told_of(reckoned: Reckoned) -> list[str]:
    """Return the columns of which any figure was admitted."""
    return sorted(name for name, ledger in reckoned.ledgers.items() if ledger.told_any)
