"""A judgement in words: the figure, what it was held against, and what to do now."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences, in_words
from advisory.findings.enums import Judgement
from advisory.findings.judgement import Because, HeldAgainst, Verdict
from advisory.findings.marks import DamageMark
from advisory.findings.models import Finding


@dataclass(frozen=True)
class InWords:
    """What a judgement says to a person; `stop` where the unit must not turn again."""

    judgement: str
    why: str
    what_to_do: str
    stop: bool


def small(value: float | None, prefs: Preferences) -> str | None:
    """Write a clearance or float in the reader's units; None where it is not known."""
    return None if value is None else in_words(value, "small_length", prefs)


def verdict_in_words(
    verdict: Verdict,
    value: float | None,
    against: HeldAgainst,
    prefs: Preferences,
    mark: str = "",
) -> InWords:
    """Say what a figure means and what to do; never that it is safe to go on."""
    figures = {
        "figure": small(value, prefs) or "",
        "limit": small(against.wear_limit, prefs) or "",
        "look": small(against.look_into_above, prefs) or "",
        "built": _as_built(against, prefs),
        "mark": str(DamageMark(mark).label) if mark else "",
    }
    return InWords(
        judgement=str(verdict.judgement.label),
        why=_why(verdict.because) % figures,
        what_to_do=_what_to_do(verdict.judgement, seen=verdict.because == Because.MARK),
        stop=verdict.judgement == Judgement.STOP,
    )


def _as_built(against: HeldAgainst, prefs: Preferences) -> str:
    if against.as_built is not None:
        return in_words(against.as_built, "small_length", prefs)
    ends = (small(against.as_built_least, prefs), small(against.as_built_most, prefs))
    least, most = ends
    if least and most:
        return _("%(least)s to %(most)s") % {"least": least, "most": most}
    return least or most or ""


def _why(because: Because) -> str:
    return {
        Because.NO_FIGURE: _("Nothing was measured, so there is no figure to judge."),
        Because.NO_LIMITS: _(
            "%(figure)s was measured. Neither a build record nor a limit is known for this place, "
            "so nothing can be said of it."
        ),
        Because.PAST_LIMIT: _("%(figure)s is at or past the limit of %(limit)s for this place."),
        Because.TOO_NEAR: _(
            "%(figure)s is so near the limit of %(limit)s that, with what it may be off, it may be "
            "past it."
        ),
        Because.LOOK_INTO: _(
            "%(figure)s is above %(look)s, from where on the workshop wants to look into it."
        ),
        Because.SMALLER_THAN_BUILT: _(
            "%(figure)s is smaller than as built (%(built)s). Wear never makes it smaller: either "
            "the measurement is off, or metal has moved."
        ),
        Because.GROWN_WITHOUT_LIMIT: _(
            "%(figure)s is more than as built (%(built)s), and no limit is known for this place."
        ),
        Because.GROWN: _("%(figure)s is more than as built (%(built)s), below the limits known."),
        Because.BELOW_LIMIT: _(
            "%(figure)s is below the limits known, but nobody knows what it was when built."
        ),
        Because.AS_BUILT: _(
            "%(figure)s is what a new one may have; this one was built with %(built)s."
        ),
        Because.MARK: _("Seen there: %(mark)s. That says so by itself, whatever was measured."),
    }[because]


def _what_to_do(judgement: Judgement, *, seen: bool = False) -> str:
    """Say what to do; `seen` where a mark says it, not a figure."""
    if seen and judgement == Judgement.ASK:
        return _(
            "Don't run it before you have asked the workshop. Leave it as you found it, and take a "
            "photo."
        )
    if seen and judgement == Judgement.WATCH:
        return _(
            "Watch it: look at the same place again at the next oil change. If it grows, makes a "
            "noise or sheds metal, stop and ask."
        )
    return {
        Judgement.STOP: _(
            "Stop. Leave the unit standing, don't turn it to see whether it gets worse, and ask "
            "the workshop before it runs again."
        ),
        Judgement.ASK: _(
            "Don't run it before you have asked the workshop. Measure again with everything cold "
            "and clean, so that you can say how sure the figure is."
        ),
        Judgement.WATCH: _(
            "Watch it: measure again when its plan asks for it (where no plan does, at the next "
            "oil change), at the same place in the same way. If it grows, makes a noise or sheds "
            "metal, stop and ask."
        ),
        Judgement.GOOD: _(
            "One good figure says nothing of the other places. If something looks, sounds or "
            "smells wrong, stop and ask all the same."
        ),
        Judgement.UNJUDGED: _("If it looks, sounds or smells wrong, stop and ask the workshop."),
    }[judgement]


def as_plain_text(
    finding: Finding, said: InWords, figures: Sequence[Mapping[str, Any]]
) -> tuple[str, str]:
    """Return subject and text of a finding for somebody's own mail program."""
    unit = finding.unit
    where = str(finding.position) if finding.position else _("no place named")
    lines = [
        _("%(unit)s, serial %(serial)s, %(design)s")
        % {"unit": unit, "serial": unit.serial or _("not known"), "design": unit.design},
        _("Place: %(where)s") % {"where": where},
        _("Seen on: %(day)s") % {"day": date_format(finding.seen_on, "j F Y")},
    ]
    if finding.mark:
        lines.append(_("Seen: %(mark)s") % {"mark": finding.get_mark_display()})
    lines += ["", finding.text, ""]
    lines += [f"{row['label']}: {row['value']}" for row in figures if row["value"]]
    lines += [said.why, said.what_to_do]
    return _("%(unit)s: a finding") % {"unit": unit}, "\n".join(lines)
