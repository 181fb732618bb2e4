"""What an open finding brings to a plan: work brought forward, and putting right what was found."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.findings.enums import Instruction, Judgement
from advisory.lubrication.queries import OilInUnit
from advisory.plans.computation import Anchor, Limits
from advisory.plans.enums import CountedFrom, DueBy
from advisory.plans.work.base import Asked, Facts, Matter, Reason, Work
from advisory.register.enums import PositionKind, WorkKind

SAYS_SO = {
    Instruction.STOP: "told_stop",
    Instruction.GENTLY: "told_gently",
    Instruction.OIL_NOW: "told_oil_now",
}


@dataclass(frozen=True)
class _Brought:
    """Since when work is wanted because of what was found, and why."""

    since: date
    reason: Reason


def brought_forward(asked: Asked, brought: Iterator[_Brought], anchor: Anchor) -> Asked:
    """Return what work asks for, at once where a finding wants it and it was not done since."""
    wanted = [one for one in brought if not _done_since(anchor, one.since)]
    if not wanted:
        return asked
    first = min(one.since for one in wanted)
    on = first if asked.limits.on is None else min(first, asked.limits.on)
    return asked._replace(
        limits=asked.limits._replace(on=on),
        by=DueBy.FINDING,
        reasons=(*(one.reason for one in wanted), *asked.reasons),
        before_first_run=True,
    )


def _done_since(anchor: Anchor, day: date) -> bool:
    return anchor.counted_from != CountedFrom.START and anchor.date >= day


def bad_figures(facts: Facts, place: PositionKind) -> Iterator[_Brought]:
    """Yield the figures at a kind of place that ask or stop: it is to be measured again."""
    for matter in facts.matters:
        if matter.figure and matter.kind == place:
            yield _Brought(matter.since, _figure(matter))


def told_oil_now(facts: Facts) -> Iterator[_Brought]:
    """Yield the workshop's word to change the oil now."""
    for matter in facts.matters:
        if matter.instruction == Instruction.OIL_NOW:
            yield _Brought(matter.since, _word(matter))


def _figure(matter: Matter) -> Reason:
    on, stop = matter.since.isoformat(), matter.judgement == Judgement.STOP
    if not matter.figure:
        code = "mark_to_stop" if stop else "mark_to_ask"
        return {"code": code, "place": matter.place, "mark": matter.mark, "on": on}
    code = "found_past_limit" if stop else "found_to_ask"
    return {"code": code, "place": matter.place, "figure": matter.figure, "on": on}


def _word(matter: Matter) -> Reason:
    code = SAYS_SO[Instruction(matter.instruction)]
    return {"code": code, "workshop": matter.workshop, "on": matter.since.isoformat()}


def _to_put_right(facts: Facts) -> Iterator[_Brought]:
    for matter in facts.matters:
        if matter.judgement:
            yield _Brought(matter.since, _figure(matter))
        elif matter.instruction in {Instruction.STOP, Instruction.GENTLY}:
            yield _Brought(matter.since, _word(matter))
        elif matter.agreed:
            reason: Reason = {"code": "work_agreed", "workshop": matter.workshop}
            yield _Brought(matter.since, {**reason, "on": matter.since.isoformat()})


def _asks_put_right(facts: Facts, anchor: Anchor) -> Asked:
    return brought_forward(Asked(Limits(), DueBy.FINDING), _to_put_right(facts), anchor)


def _at_hand(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [
        _("What the workshop said last, and its telephone number"),
        _("A lamp and something to take photos with"),
    ]


PUT_RIGHT = Work(
    kind=WorkKind.PUT_RIGHT,
    applies=lambda facts: next(_to_put_right(facts), None) is not None,
    asks=_asks_put_right,
    why=gettext_lazy(
        "Something was found that doesn't mend itself. Each mile on it costs more than the last,"
        " and a part that could have been repaired is lost."
    ),
    steps=(
        gettext_lazy("Open the finding and read what the workshop said last."),
        gettext_lazy(
            "Leave the unit standing until it says what may be done. Told to run it gently to the"
            " workshop: straight there, by daylight, and nowhere else."
        ),
        gettext_lazy("Answer what it asks; of the ways that it offers, pick one."),
        gettext_lazy("Take nothing apart that it has not told you to; then in its design's order."),
        gettext_lazy("Once it is put right: measure the place again, and write the value down."),
    ),
    look_for=(
        gettext_lazy(
            "It knocks, grows hot, loses pressure or sheds metal on the way: stop there, ring."
        ),
    ),
    cautions=("rotating", "hot_oil", "jacking", "lead", "do_not_force", "no_licence"),
    at_hand=_at_hand,
    rests_laid_up=False,
    needs_car=False,
    stop_matter=True,
)
