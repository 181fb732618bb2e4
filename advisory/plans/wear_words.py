"""How a place wears in words: its limit, what contradicts itself, what the plan asks."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences, in_words
from advisory.engineering.wear import Contradiction, WearForecast


@dataclass(frozen=True)
class PlanAsks:
    """What a plan asks of a place: in words, and how far from its last measuring (m), if told."""

    work: str
    due: str
    ahead: float | None


def wear_sentence(
    found: WearForecast,
    points: Sequence[tuple[float, float]],
    prefs: Preferences,
    *,
    inspection: float | None = None,
    asked: PlanAsks | None = None,
    halted: bool = False,
) -> str:
    """Say when a place meets its limit and when to measure it again, never later than its plan.

    `points` are distances and sizes (m) in the order in which the forecast was given them; `halted`
    says that what was measured there stands against running the unit: then no distance is told.
    """
    if found.chance_passed(0.0) >= 0.5:
        return _("It is past its limit, more likely than not: don't run it, ask the workshop.")
    if found.contradiction is not None:
        said = [_contradiction_words(found.contradiction, points, prefs, halted=halted)]
    elif halted:
        said = [
            _(
                "What was measured here says to ask the workshop before it runs. No distance is "
                "told until then."
            )
        ]
    else:
        said = [_limit_words(found, prefs)]
    if halted or found.contradiction is not None:
        return " ".join([*said, *_in_plan(asked)])
    return " ".join([*said, *_again(inspection, asked, prefs)])


def _limit_words(found: WearForecast, prefs: Preferences) -> str:
    early, middle, late = (found.distance_at(chance) for chance in (0.1, 0.5, 0.9))
    if early is None:
        return _("As it was measured, it hardly wears: no limit is in sight.")
    if middle is None or late is None:
        return _(
            "Counted from its last measuring, it meets its limit hardly before %(far)s; by when "
            "can't be said."
        ) % {"far": in_words(early, "distance", prefs)}
    return _(
        "Counted from its last measuring, it meets its limit most likely after %(middle)s, hardly "
        "before %(early)s and hardly after %(late)s."
    ) % {
        name: in_words(metres, "distance", prefs)
        for name, metres in (("middle", middle), ("early", early), ("late", late))
    }


def _contradiction_words(
    found: Contradiction, points: Sequence[tuple[float, float]], prefs: Preferences, *, halted: bool
) -> str:
    (before, larger), (after, smaller) = points[found.larger], points[found.smaller]
    sizes = {
        "larger": in_words(larger, "small_length", prefs),
        "smaller": in_words(smaller, "small_length", prefs),
        "far": in_words(after - before, "distance", prefs),
    }
    if found.same_distance:
        said = _(
            "%(larger)s and %(smaller)s at the same distance contradict one another: they differ by"
            " more than they may be off."
        )
    else:
        said = _(
            "%(larger)s, and %(far)s later %(smaller)s, contradict one another: a clearance "
            "doesn't get smaller by running."
        )
    what = _("One of the two is off, or something has moved: no distance is told from them.")
    if halted:
        then = _(
            "Don't run it before you have asked the workshop. Measure it again, cold and clean."
        )
    elif found.settled:
        then = _("What was measured since agrees with one of them: tell the workshop of the other.")
    else:
        then = _(
            "Measure it again, cold and clean; if it stays so, ask the workshop before it runs."
        )
    return f"{said % sizes} {what} {then}"


def _in_plan(asked: PlanAsks | None) -> list[str]:
    if asked is None:
        return []
    return [_("In its plan: %(work)s. %(due)s.") % {"work": asked.work, "due": asked.due}]


def _again(inspection: float | None, asked: PlanAsks | None, prefs: Preferences) -> list[str]:
    """Say when to measure it again: what the plan asks, and what wear asks only where sooner."""
    sooner = inspection is not None and (
        asked is None or asked.ahead is None or inspection < asked.ahead
    )
    far = in_words(inspection, "distance", prefs) if inspection is not None and sooner else ""
    if asked is None:
        return [_("Measure it again within %(far)s of that.") % {"far": far}] if far else []
    plan = {"far": far, "work": asked.work, "due": asked.due}
    if far:
        return [
            _(
                "Measure it again within %(far)s of that, or when its plan asks, whichever comes "
                "first: %(work)s. %(due)s."
            )
            % plan
        ]
    return [_("Measure it again when its plan asks: %(work)s. %(due)s.") % plan]
