"""The reminder: everything of one owner's that has come to a new stage, in one letter."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from advisory.common.cautions import CAUTIONS, Caution
from advisory.notices.enums import STAGES, Stage
from advisory.notices.letters.letter import (
    REMINDERS,
    Letter,
    Withheld,
    letter_to,
    link,
    told_without,
)
from advisory.notices.mail_links import item_secret
from advisory.notices.models import Mail
from advisory.notices.queries import STAGE_OF, items_still_due, longest_snoozes
from advisory.notices.words import stage_in_words, subject_in_words
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.plans.reason_words import reasons_words
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind

# The rest stands on the page.
MOST_REASONS = 2


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
    done_url: str
    later_url: str


def reminder_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter with what still holds of its reminders."""
    person = mail.person
    if person is None:
        return Withheld("The person has left.")
    items = items_still_due(person, mail.reminders.all(), now)
    latest = longest_snoozes(list(items.values()), person)
    lines = [_line(item, person, waits=latest[key] is not None) for key, item in items.items()]
    if not lines:
        return Withheld("Nothing of it is due any more.")
    lines.sort(key=lambda line: (-STAGES.index(line.stage), line.unit, line.work))
    context = {"lines": lines, "cautions": _cautions(lines), "plan_url": link("home")}
    letter = letter_to(person, REMINDERS, "reminder", _subject(lines), context)
    return told_without(letter, mail, items)


def _line(item: PlanItem, person: Person, *, waits: bool) -> Line:
    stage = STAGE_OF[DueState(item.state)]
    secret = item_secret(item, person)
    return Line(
        unit=str(item.unit),
        work=item.get_work_display(),
        stage=stage,
        due=stage_in_words(item, stage, today_of(person)),
        reasons=reasons_words(item, preferences_of(person))[:MOST_REASONS],
        cautions=WORKS[WorkKind(item.work)].cautions,
        url=link("plans:item", item.unit_id, item.work),
        done_url=link("notices:done", secret),
        later_url=link("notices:later_by_mail", secret) if waits else "",
    )


def _cautions(lines: Sequence[Line]) -> list[Caution]:
    """Return the cautions of all the work that the letter tells of, each once."""
    keys = dict.fromkeys(key for line in lines for key in line.cautions)
    return [CAUTIONS[key] for key in keys]


def _subject(lines: Sequence[Line]) -> str:
    first = subject_in_words(lines[0].work, lines[0].stage, lines[0].unit)
    if len(lines) == 1:
        return first
    return _("%(first)s, and %(more)d more") % {"first": first, "more": len(lines) - 1}
