"""A reminder in words."""

from datetime import date

from django.utils.translation import gettext as _

from advisory.notices.enums import Stage
from advisory.plans.models import PlanItem
from advisory.plans.words import day_words, expected_words


def stage_in_words(item: PlanItem, stage: Stage, today: date) -> str:
    """Say how near an item is, and when it is or was due."""
    day = item.forecast_date or item.due_date
    if day is None:
        return str(stage.label)
    if stage == Stage.NEAR:
        return _("Coming up: about %(day)s") % {"day": expected_words(max(day, today), today)}
    if stage == Stage.DUE or day >= today:
        return str(stage.label)
    return _("Overdue since %(day)s") % {"day": day_words(day)}


def subject_in_words(work: str, stage: Stage, unit: str) -> str:
    """Say it in one short line."""
    return {
        Stage.NEAR: _("%(work)s is coming up: %(unit)s"),
        Stage.DUE: _("%(work)s is due: %(unit)s"),
        Stage.LATE: _("%(work)s is overdue: %(unit)s"),
    }[stage] % {"work": work, "unit": unit}
