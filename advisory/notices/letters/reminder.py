"""The reminder: everything of one owner's that has come to a new stage, in one letter."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.notices.enums import STAGES, Stage
from advisory.notices.letters.letter import REMINDERS, Letter, Withheld, letter_to, link
from advisory.notices.models import Mail
from advisory.notices.queries import STAGE_OF, items_still_due
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind


@dataclass(frozen=True)
class Line:
    """One item of the letter, in its reader's words."""

    unit: str
    work: str
    stage: Stage
    due: str
    reasons: Sequence[str]
    cautions: tuple[str, ...]
    url: str


def reminder_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter with what still holds of its reminders."""
    person = mail.person
    if person is None:
        return Withheld("The person has left.")
    items = items_still_due(person, mail.reminders.all(), now)
    lines = [_line(item) for item in items.values()]
    if not lines:
        return Withheld("Nothing of it is due any more.")
    lines.sort(key=lambda line: (-STAGES.index(line.stage), line.unit, line.work))
    context = {"lines": lines, "cautions": _cautions(lines), "plan_url": link("home")}
    return letter_to(person, REMINDERS, "reminder", _subject(lines), context)


def _line(item: PlanItem) -> Line:
    from advisory.plans.work import WORKS

    work = WORKS[WorkKind(item.work)]
    return Line(
        unit=str(item.unit),
        work=item.get_work_display(),
        stage=STAGE_OF[DueState(item.state)],
        due=_due_in_words(item),
        reasons=[],
        cautions=work.cautions,
        url=link("plans:item", item.unit_id, item.work),
    )


def _due_in_words(item: PlanItem) -> str:
    day = item.forecast_date or item.due_date
    if day is None:
        return _("look at your plan for when")
    return date_format(day, "j F Y")


def _cautions(lines: Sequence[Line]) -> list[Any]:
    """Return the cautions of all the work that the letter tells of, each once."""
    from advisory.plans.cautions import CAUTIONS

    keys = dict.fromkeys(key for line in lines for key in line.cautions)
    return [CAUTIONS[key] for key in keys]


def _subject(lines: Sequence[Line]) -> str:
    first = lines[0]
    told = {
        Stage.NEAR: _("%(work)s is coming up: %(unit)s"),
        Stage.DUE: _("%(work)s is due: %(unit)s"),
        Stage.LATE: _("%(work)s is overdue: %(unit)s"),
    }[first.stage] % {"work": first.work, "unit": first.unit}
    if len(lines) == 1:
        return told
    return _("%(first)s, and %(more)d more") % {"first": told, "more": len(lines) - 1}
