"""The page of the oil-change interval, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.common.bench.units import in_figures
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Series
from advisory.engineering.checks import CheckValue
from advisory.lubrication.calculators import OIL_CHANGE
from advisory.lubrication.calculators.oil_change import reasons_in
from advisory.lubrication.enums import Filtration

_FILTRATIONS = {kind.value: kind.label for kind in Filtration if kind != Filtration.UNKNOWN}


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    return gettext("After %(distance)s or %(months)s months, whichever comes first") % {
        "distance": words.quantity(answer["distance"]),
        "months": in_figures(answer["months"], 2),
    }


def _retold(values: Values, answer: Mapping[str, Any], words: Words) -> Mapping[str, Any]:
    return {**answer, "reasons": reasons_in(values, words.preferences)}


def _charts(_values: Values, answer: Mapping[str, Any], words: Words) -> Sequence[Chart]:
    distance = words.scale("km")
    compared = answer["compare"]
    return [
        Chart(
            title=gettext("The same unit with each kind of filter"),
            sentence=gettext("Distance to the oil change, everything else as asked."),
            kind="bar",
            series=[
                Series(
                    gettext("Distance"),
                    [
                        (float(place), round(distance.of(one["distance"]["value"]), -1))
                        for place, one in enumerate(compared)
                    ],
                )
            ],
            x_words=[str(_FILTRATIONS[one["filtration"]]) for one in compared],
            x_label=gettext("Filter"),
            y_label=distance.words,
        )
    ]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import oil_change

    return oil_change.CHECKS


METHOD = Method(
    does=_(
        "Works out each of the things that end an oil's life by itself, dirt, ageing and the "
        "calendar, and names the one that comes first, with what would move it."
    ),
    equations=(
        (_("Dirt afloat"), "V dC/dt = ingress − q E C, over successive fills with their residue"),
        (
            _("How much dirt is allowed"),
            "what an unfiltered unit carries at the interval that common practice gives it",
        ),
        (_("Ageing"), "life = 1000 h at 60 °C, half of it for each 10 K more"),
        (_("The answer"), "the least of dirt, ageing, calendar, running-in, workshop"),
    ),
    holds=(
        _("Units with an oil sump, on the road, in the hands of people who look after them."),
        _("The workshop's instruction may be shortened by it, never lengthened."),
    ),
    not_known=(
        _("The oil itself: only a sample of it, sent to a laboratory, tells how it is."),
        _("Water from a leak, fuel from a sticking float: what changes the oil at once."),
        _("How the figures that were set fit this one unit: they stand in a table of their own."),
    ),
    checks=_checks,
    further=((_("Every figure that was set, and where it comes from"), "lubrication:assumptions"),),
)

PAGE = BenchPage(
    calculator=OIL_CHANGE,
    title=_("Oil-change interval"),
    question=_("How long may the oil stay in?"),
    groups=(
        Group(
            title=_("The unit"),
            names=(
                "sump_volume",
                "residue_fraction",
                "sump_temperature",
                "breather_filtered",
                "distance_since_rebuild",
            ),
        ),
        Group(
            title=_("The filter"),
            lead=_("What you know of it; the rest is taken as usual for its kind."),
            names=("filtration", "beta_ratio", "efficiency", "filter_flow", "dirt_capacity"),
        ),
        Group(
            title=_("How it is used"),
            names=("mean_speed", "roads", "short_run_share", "annual_distance"),
        ),
        Group(
            title=_("What the workshop says"),
            names=("workshop_distance", "workshop_months"),
        ),
    ),
    answered=_answered,
    method=METHOD,
    charts=_charts,
    retold=_retold,
    labels={
        "filtration": _("Kind of filter"),
        "residue_fraction": _("Share that stays behind"),
        "sump_temperature": _("Temperature of the oil, warm"),
        "breather_filtered": _("The breather has a filter"),
        "short_run_share": _("Share in short, cold runs"),
        "compare": _("With another filter"),
        "running-in": _("Running-in"),
    },
    choices={
        **_FILTRATIONS,
        "running-in": _("running-in"),
        "sealed": _("sealed"),
        "mixed": _("some unsealed"),
        "unsealed": _("mostly unsealed"),
    },
)
