"""How urgent a finding is, and why: by what was measured, seen and told, never by who asks.

| what is known | urgency | source |
| --- | --- | --- |
| told to stop; a figure at or past its limit, a mark on which to stop | now | workshop, judgement |
| a figure or mark at which to ask; told to run it gently or to change the oil | soon | the same |
| the second finding at one place within a year | soon | common practice, no source |
| a figure or mark to watch, a good figure | watch | common practice, no source |
| nothing measured, no mark | unsure | common practice, no source |

The first line that fits speaks. It says what to do first, and never that it is safe to go on.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.findings.enums import Instruction, Judgement, Urgency
from advisory.findings.judgement import GRAVITY
from advisory.findings.models import AskedMeasurement, Finding


@dataclass(frozen=True)
class Urgent:
    """How urgent a finding is, and the reasons."""

    level: Urgency
    why: tuple[str, ...]


def judgement_now(finding: Finding, asked: Iterable[AskedMeasurement] = ()) -> Judgement:
    """Return the gravest of what stands: the finding's own, unless its place was measured since."""
    latest = {(finding.position_id, finding.quantity): Judgement(finding.judgement)}
    for one in asked:
        if one.value is not None:
            # a mark doesn't go away by measuring beside it
            place = one.position_id, one.value.quantity if not finding.mark else "measured"
            latest[place] = Judgement(one.value.judgement)
    return max(latest.values(), key=GRAVITY.index)


def urgency_of(
    finding: Finding, *, asked: Iterable[AskedMeasurement] = (), again: bool = False
) -> Urgent:
    """Say how urgent a finding is; `again` where the same place had one within a year before."""
    judgement = judgement_now(finding, asked)
    why = []
    if finding.instruction:
        told = Instruction(finding.instruction).label
        why.append(_("The workshop said: %(told)s.") % {"told": told})
    if judgement in {Judgement.STOP, Judgement.ASK, Judgement.WATCH}:
        why.append(_OF_FIGURE[judgement]() if not finding.mark else _OF_MARK[judgement]())
    if again:
        why.append(_("It is the second finding at this place within a year: it was not cured."))
    if judgement == Judgement.GOOD:
        why.append(_("The figure is good; what was seen still wants a word."))
    elif judgement == Judgement.UNJUDGED and not finding.instruction:
        why.append(_("Nothing was measured that could be judged: nobody can say how urgent it is."))
    return Urgent(_level(finding.instruction, judgement, again=again), tuple(why))


def _level(instruction: str, judgement: Judgement, *, again: bool) -> Urgency:
    if instruction == Instruction.STOP or judgement == Judgement.STOP:
        return Urgency.NOW
    if instruction or judgement == Judgement.ASK or again:
        return Urgency.SOON
    return Urgency.UNSURE if judgement == Judgement.UNJUDGED else Urgency.WATCH


_OF_FIGURE = {
    Judgement.STOP: lambda: _("A figure is at or past its limit."),
    Judgement.ASK: lambda: _("A figure is where the workshop wants to be asked first."),
    Judgement.WATCH: lambda: _("A figure has grown, below the limits known."),
}
_OF_MARK = {
    Judgement.STOP: lambda: _("What was seen or measured says stop by itself."),
    Judgement.ASK: lambda: _("What was seen or measured wants asking before it runs."),
    Judgement.WATCH: lambda: _("What was seen or measured is to be watched."),
}
