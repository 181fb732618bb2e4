"""Reasons in words: to the workshop on its list, and to the owner in a letter."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.notices.enums import FollowReason
from advisory.register.enums import WorkKind
from advisory.reports.follow_up.standing import Standing

_TO_THE_WORKSHOP = {
    FollowReason.DRIFTING: gettext_lazy("%(what)s: to be watched, measured %(day)s"),
    FollowReason.WAITING: gettext_lazy("A finding waits for your answer since %(day)s"),
    FollowReason.UNANSWERED: gettext_lazy("Your question waits for an answer since %(day)s"),
    FollowReason.FIRST_CHANGE: gettext_lazy(
        "First oil change since it was built not logged; it was due %(day)s"
    ),
    FollowReason.OVERDUE_TWICE: gettext_lazy(
        "%(what)s overdue, as it was the time before; due %(day)s"
    ),
    FollowReason.RUNNING_IN: gettext_lazy("Running-in nearly over: oil change due %(day)s"),
    FollowReason.SILENT: gettext_lazy("No sign of life since %(day)s"),
}
_TO_THE_OWNER = {
    FollowReason.DRIFTING: gettext_lazy(
        "%(what)s: what was measured moves towards its limit. Please measure again before you go "
        "on driving far, or bring it to us. If it knocks, runs hot or loses oil, leave it standing."
    ),
    FollowReason.UNANSWERED: gettext_lazy(
        "We asked you something about what you found, on %(day)s, and can't go on without it."
    ),
    FollowReason.FIRST_CHANGE: gettext_lazy(
        "The first oil change since it was built isn't written down; it was due %(day)s. It takes "
        "out what running-in leaves in the oil. If it was done, write it down; if not, please do it"
        " before the next run."
    ),
    FollowReason.OVERDUE_TWICE: gettext_lazy(
        "%(what)s is overdue again; it was due %(day)s. If it was done, write it down. If "
        "something keeps you from it, tell us: we may be able to help."
    ),
    FollowReason.RUNNING_IN: gettext_lazy(
        "Running-in is nearly over: the oil change that ends it is due about %(day)s. Please look "
        "into the strainer then, and tell us what you see."
    ),
    FollowReason.SILENT: gettext_lazy(
        "We have heard nothing of it since %(day)s. Does it run, does it stand, was it sold? What "
        "the odometer shows today would do; and if it stood long, ask us before the first run."
    ),
}


def _with(standing: Standing) -> dict[str, str]:
    what = standing.position
    if not what and standing.work:
        what = str(WorkKind(standing.work).label)
    return {"what": what, "day": date_format(standing.since, "j M Y")}


def to_the_workshop(standing: Standing) -> str:
    """Say a reason on the workshop's list."""
    words = _TO_THE_WORKSHOP[standing.reason]
    if standing.reason == FollowReason.DRIFTING and not standing.position:
        words = gettext_lazy("%(what)s: wear as measured asks for it; due %(day)s")
    return str(words) % _with(standing)


def to_the_owner(standing: Standing) -> str:
    """Say a reason to the owner."""
    return str(_TO_THE_OWNER[standing.reason]) % _with(standing)


def subject_words(workshop: object, unit: object) -> str:
    """Return the subject of the letter."""
    return _("%(workshop)s has a word about %(unit)s") % {"workshop": workshop, "unit": unit}
