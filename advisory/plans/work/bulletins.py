"""Work that a bulletin asks for: one bulletin at a time, the most pressing first."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.lubrication.queries import OilInUnit
from advisory.plans.computation import Anchor, Limits
from advisory.plans.enums import DueBy
from advisory.plans.work.base import Asked, AskedByBulletin, Facts, Reason, Work
from advisory.register.enums import WorkKind


def _reason(one: AskedByBulletin) -> Reason:
    code = "bulletin_stop" if one.before_it_runs else "bulletin"
    return {
        "code": code,
        "who": one.who,
        "title": one.title,
        "what": one.what,
        "row": one.row,
        "bulletin": one.bulletin,
        "sent_on": one.sent_on.isoformat(),
    }


def _asks(facts: Facts, anchor: Anchor) -> Asked:
    reasons = tuple(_reason(one) for one in facts.bulletins)
    if not facts.bulletins:
        return Asked(Limits(), DueBy.BULLETIN, reasons)
    first = facts.bulletins[0]
    return Asked(
        Limits(on=first.due_on), DueBy.BULLETIN, reasons, before_first_run=first.before_it_runs
    )


def _at_hand(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [_("The bulletin, and what it names")]


BULLETIN = Work(
    kind=WorkKind.BULLETIN,
    applies=lambda facts: bool(facts.bulletins),
    asks=_asks,
    why=gettext_lazy(
        "Whoever built it, or knows many of its kind, has seen what goes wrong on others: what is"
        " asked now is what keeps it from happening on yours."
    ),
    steps=(
        gettext_lazy("Read the whole bulletin first, and have at hand what it names."),
        gettext_lazy("Do what it asks, in its order. What is unclear, ask before you begin."),
        gettext_lazy("What you can't do safely yourself is work for the workshop."),
        gettext_lazy("Write down that it is done; write down what you saw as a finding."),
    ),
    look_for=(
        gettext_lazy("What looks otherwise than the bulletin says: stop, report it and ask."),
    ),
    cautions=(
        "jacking",
        "rotating",
        "hot_oil",
        "fire",
        "lead",
        "used_oil",
        "do_not_force",
        "no_licence",
    ),
    at_hand=_at_hand,
    renewed_by_build=False,
    needs_car=False,
    stop_matter=True,
)
