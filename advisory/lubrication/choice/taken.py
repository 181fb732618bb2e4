"""What was taken for a choice of oil because nobody has told, and how to find out."""

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.lubrication.adapters import ChoiceCase, LeftOut
from advisory.lubrication.adapters.engineering import assumed
from advisory.lubrication.choice.words import MISSING_WORDS, listed
from advisory.lubrication.film_words import celsius_words, film_words, pressure_words
from advisory.lubrication.words import Assumed

TAKEN: dict[str, Assumed] = {
    "starter_design": Assumed(
        gettext_lazy("sizes, speeds and loads that are typical of its kind, for nobody measured"),
        gettext_lazy("A workshop that knows the unit can write its design and its build sheet."),
    ),
    "clearance_built": Assumed(
        gettext_lazy("the widest running clearance that the design allows, where none was written"),
        gettext_lazy("It stands on the build sheet; else it is measured when next taken apart."),
    ),
    "clearance_limit": Assumed(
        gettext_lazy("no wear limit where the design gives none, so nothing is said of it"),
        gettext_lazy("Ask the workshop for the clearance at which it must stop."),
    ),
    "surface_roughness": Assumed(
        gettext_lazy("rough surfaces, %(roughness)s together"),
        gettext_lazy("The workshop can measure journal and bearing, or knows its own finish."),
    ),
    "sump_temperature": Assumed(
        gettext_lazy("warm oil, %(warm)s on a usual run"),
        gettext_lazy("Hold a probe thermometer into the oil after an hour's drive."),
    ),
    "feed": Assumed(
        gettext_lazy("that a pump must draw the oil, and that half of what cools a film arrives"),
        gettext_lazy("Look where its oil comes from, and say so under How it is oiled."),
    ),
    "unforced": Assumed(
        gettext_lazy("that half of what cools a film arrives, for the oil is not pressed in"),
        gettext_lazy("Oil under pressure in every bearing would be said under How it is oiled."),
    ),
    "pipe": Assumed(
        gettext_lazy("nothing about a feed pipe, so no flow and no filling time is stated"),
        gettext_lazy("Bore and length of the external pipe stand under How it is oiled."),
    ),
    "pressure_forced": Assumed(
        gettext_lazy("%(pressure)s at the feed pipe, which is low"),
        gettext_lazy("Read the gauge on a cold start, and ask with that."),
    ),
    "pressure_gravity": Assumed(
        gettext_lazy("%(pressure)s at the feed pipe, from oil that stands a foot above it"),
        gettext_lazy("Measure how high the tank stands above the bearing, and ask with that."),
    ),
    "pressure": Assumed(
        gettext_lazy("nothing about the pressure at the pipe, so no flow is stated"),
        gettext_lazy("A gauge on the pipe tells, or the workshop; then ask with that."),
    ),
    "washer_inner": Assumed(
        gettext_lazy("narrow faces of the thrust washers, for only the outer size is known"),
        gettext_lazy("Measure the inner diameter of the face that bears."),
    ),
}  # fmt: skip


def taken_words(case: ChoiceCase, prefs: Preferences) -> list[Assumed]:
    """Return what was taken for these codes, and how to find out, in a fixed order."""
    pipe = case.case.pipe
    pressure = None if pipe is None else pipe.pressure
    figures = {
        "roughness": film_words(assumed("roughness_not_known"), prefs),
        "warm": celsius_words(case.case.warm_c, prefs),
        "pressure": "" if pressure is None else pressure_words(pressure, prefs),
    }
    return [
        Assumed(str(words.taken) % figures, words.find_out)
        for code, words in TAKEN.items()
        if code in case.assumed
    ]


def left_out_words(left_out: Sequence[LeftOut]) -> list[str]:
    """Say of each bearing, washer and oil that was left out what is missing."""
    return [
        _("%(name)s: not known is %(missing)s.")
        % {"name": out.name, "missing": listed([str(MISSING_WORDS[m]) for m in out.missing])}
        if out.missing not in {("beyond",), ("oil",)}
        else _("%(name)s: %(why)s.") % {"name": out.name, "why": MISSING_WORDS[out.missing[0]]}
        for out in left_out
    ]
