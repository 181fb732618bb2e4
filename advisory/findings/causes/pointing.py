"""A mark's causes in order: what the record says for each, and what it says against it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences
from advisory.findings.causes.evidence import EVIDENCE, Said
from advisory.findings.causes.record import UnitRecord
from advisory.findings.causes.rules import PRACTICE
from advisory.findings.causes.table import CAUSES
from advisory.findings.models import CauseLine


@dataclass(frozen=True)
class Pointed:
    """One cause, with the evidence in words; `by` names the workshop whose own line it is."""

    cause: str
    supports: Sequence[str]
    against: Sequence[str]
    check: str
    until_then: str
    source: str
    by: str = ""

    @property
    def weight(self) -> int:
        """What orders causes: how much more speaks for it than against it."""
        return len(self.supports) - len(self.against)


@dataclass(frozen=True)
class PointedAt:
    """All causes of a mark, the likeliest first; `stop` stands above them all."""

    causes: Sequence[Pointed]
    stop: str


def pointed_at(
    mark: str, record: UnitRecord, prefs: Preferences, own: Iterable[CauseLine] = ()
) -> PointedAt:
    """Order the causes of a mark by what the record says; equals stay as the table has them.

    A workshop's own lines come before the table's. Where the place is past its limit, no line says
    what to do until then but to stop.
    """
    stop = ""
    if record.past_limit:
        stop = _(
            "This place is at or past its limit. Whatever the cause: leave it standing, and ask "
            "the workshop before it runs again."
        )
    lines = [
        _pointed(
            [EVIDENCE[key].says(record, prefs) for key in line.evidence if key in EVIDENCE],
            cause=line.cause, check=line.check_for, until_then=stop or line.until_then,
            source=line.source or PRACTICE, by=str(line.design.workshop or ""),
        )
        for line in own
        if line.mark == mark
    ]  # fmt: skip
    lines += [
        _pointed(
            [piece.says(record, prefs) for piece in rule.evidence],
            cause=str(rule.cause), check=str(rule.check),
            until_then=stop or str(rule.until_then), source=rule.source,
        )
        for rule in CAUSES
        if rule.mark == mark
    ]  # fmt: skip
    return PointedAt(sorted(lines, key=lambda one: -one.weight), stop)


def _pointed(
    said: Sequence[Said | None],
    *,
    cause: str,
    check: str,
    until_then: str,
    source: str,
    by: str = "",
) -> Pointed:
    return Pointed(
        cause=cause,
        supports=[one.words for one in said if one is not None and one.supports],
        against=[one.words for one in said if one is not None and not one.supports],
        check=check,
        until_then=until_then,
        source=_(PRACTICE) if source == PRACTICE else source,
        by=by,
    )
