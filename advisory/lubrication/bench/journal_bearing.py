"""The page of the journal bearing, and what its method knows."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Mark, Series
from advisory.engineering.checks import CheckValue
from advisory.engineering.journal_bearing import film_pressure
from advisory.lubrication.bench.oil import DATA_SHEET, OIL_CHOICES, OIL_HELPS, OIL_LABELS
from advisory.lubrication.calculators import JOURNAL_BEARING

_NO_FILM = {
    "metal_contact": _("No film carries this load: metal would touch"),
    "temperature_runaway": _("No steady film: it would heat itself too far"),
    "lightly_loaded": _("So light a load that the film is not in doubt"),
}
_LOADS = np.geomspace(0.25, 4.0, 33)  # times the load asked for


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    film = answer["minimum_film_thickness"]
    if film is None:
        codes = [warning["code"] for warning in answer["warnings"]]
        return str(next(_NO_FILM[code] for code in codes if code in _NO_FILM))
    said = gettext("A least film of %(film)s") % {"film": words.quantity(film)}
    failed = sum(not check["passed"] for check in answer["checks"])
    if not failed:
        return said
    return said + ngettext("; %(n)d limit is not kept", "; %(n)d limits are not kept", failed) % {
        "n": failed
    }


def _film_over_load(values: Values, answer: Mapping[str, Any], words: Words) -> Chart:
    newton, micron = words.scale("N"), words.scale("um")
    loads = [float(share) * values["load"] for share in _LOADS]
    answers = JOURNAL_BEARING.compute([values | {"load": load} for load in loads])
    films = [each.values["minimum_film_thickness"] for each in answers]
    curve = [
        (newton.of(load), micron.of(film * 1e6))
        for load, film in zip(loads, films, strict=True)
        if film is not None
    ]
    here = (newton.of(values["load"]), micron.of(answer["minimum_film_thickness"]["value"]))
    limits = [
        check["limit"]["value"]
        for check in answer["checks"]
        if check["name"].startswith("minimum film thickness")
    ]
    return Chart(
        title=gettext("Least film over load"),
        sentence=gettext(
            "Everything else as asked. The line ends where no film is found; the thick line is "
            "the strictest of the limits."
        ),
        series=[
            Series(gettext("Least film"), curve, style="chain", dots=False),
            Series(gettext("At the load asked for"), [here]),
        ],
        x_label=gettext("Load, %(unit)s") % {"unit": newton.words},
        y_label=gettext("Least film, %(unit)s") % {"unit": micron.words},
        marks=[Mark(gettext("Limit"), micron.of(max(limits)))] if limits else [],
    )


def _pressure_round_the_bearing(values: Values, answer: Mapping[str, Any], words: Words) -> Chart:
    megapascal = words.scale("MPa")
    ratio = min(max(values["length"] / values["diameter"], 0.1), 2.0)
    field = film_pressure(answer["eccentricity_ratio"], ratio)
    # over p0 = mu omega (R/c)^2, the clearance in c being radial
    p0 = (
        answer["dynamic_viscosity"]["value"] * 1e-3
        * values["speed"] * (values["diameter"] / values["running_clearance"]) ** 2
    )  # fmt: skip
    pressure = field.pressure[::2, 0] * p0 * 1e-6
    degrees = np.degrees(field.angle[::2])
    wet = degrees[pressure > 0.0]
    return Chart(
        title=gettext("Pressure round the bearing"),
        sentence=gettext(
            "At mid length, from the widest gap in the sense of rotation; the gap is narrowest at "
            "180°. Beyond about %(end).0f° the film is torn and carries nothing."
        )
        % {"end": float(wet.max()) if wet.size else 180.0},
        series=[
            Series(
                gettext("Pressure"),
                [
                    (round(float(angle), 1), megapascal.of(float(p)))
                    for angle, p in zip(degrees, pressure, strict=True)
                ],
                style="chain",
                dots=False,
            )
        ],
        x_label=gettext("Angle from the widest gap, °"),
        y_label=gettext("Pressure, %(unit)s") % {"unit": megapascal.words},
    )


def _charts(values: Values, answer: Mapping[str, Any], words: Words) -> Iterator[Chart]:
    if answer["minimum_film_thickness"] is not None:
        yield _film_over_load(values, answer, words)
        yield _pressure_round_the_bearing(values, answer, words)


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import (
        bearing_examples,
        film_oil,
        journal_bearing,
        raimondi_boyd,
    )

    return (
        *raimondi_boyd.CHECKS,
        *bearing_examples.CHECKS,
        *journal_bearing.CHECKS,
        *film_oil.CHECKS,
    )


METHOD = Method(
    does=_(
        "Finds where the journal settles under its load, and from that the film, its pressure, "
        "friction, flow and temperature. Reynolds' equation is solved directly; a table of that "
        "solution is read between its nodes by splines."
    ),
    equations=(
        (
            _("Pressure in the film (Reynolds)"),
            "∂/∂θ(H³ ∂p/∂θ) + (R/L)² ∂/∂z(H³ ∂p/∂z) = 6 ∂H/∂θ, H = 1 + ε cos θ, p ≥ 0",
        ),
        (_("Sommerfeld number, c the radial clearance"), "S = (R/c)² μ N / P, P = W/(L D)"),
        (_("Least film"), "h₀ = c (1 − ε)"),
        (_("Friction"), "(R/c) f = 2π² S/√(1 − ε²) + (ε/2) sin φ"),
        (
            _("Heat carried off by the oil"),
            "ΔT = 2π f W R N / (ρ cₚ Q (1 − Qₛ/2Q)), film at supply + ΔT/2",
        ),
        (_("Heat given off by the housing"), "f W U = k A (T − T ambient)"),
        (_("Film ratio"), "λ = h₀/√(Rq₁² + Rq₂²)"),
    ),
    holds=(
        _("A full, plain, round bearing, its oil drawn in along the widest gap."),
        _("Length 0.1 to 2 diameters; eccentricity ratio 0.01 to 0.99. Beyond, it says so."),
        _("Oil between −40 and 150 °C. A film that would be hotter is a runaway, no number."),
        _(
            "Within 0.1 % of the direct solution in Sommerfeld number and friction, within 0.3 % "
            "in the other figures."
        ),
    ),
    not_known=(
        _(
            "Loads that turn or hammer: a big end, a main bearing under firing loads. These are "
            "steady loads; for others the figures are a guide between bearings alike, and no more."
        ),
        _("Grooves, oil holes, half bearings, and oil pressed in through a groove all round."),
        _(
            "Misalignment, bending and bell-mouthed bores, which thin the film at one end before "
            "anything here shows it."
        ),
        _("Clearance that changes as bearing and journal warm: give the running clearance warm."),
        _("Turbulent films: a check says where one would begin."),
        _("Starting and stopping, dirt and dry starts, which do more harm than any of this."),
    ),
    checks=_checks,
    further=((_("How oils are chosen for a unit"), "lubrication:choice_figures"),),
)

PAGE = BenchPage(
    calculator=JOURNAL_BEARING,
    title=_("Journal bearing"),
    question=_("Is there an oil film?"),
    groups=(
        Group(
            title=_("The bearing"),
            names=("diameter", "length", "running_clearance", "speed", "load"),
        ),
        Group(
            title=_("The oil in the film"),
            lead=_(
                "The viscosity in the film where you know it. Else an oil: a generic one, or the "
                "two viscosities of the data sheet; then say below what carries off the heat."
            ),
            names=("viscosity", "lubricant", *DATA_SHEET),
        ),
        Group(
            title=_("What carries off the heat"),
            lead=_("Only with an oil. A bearing that is fed under pressure is cooled by its oil."),
            names=(
                "cooling",
                "supply_temperature",
                "ambient_temperature",
                "housing_area",
                "heat_transfer_coefficient",
            ),
        ),
        Group(
            title=_("To hold it against limits"),
            names=("surface_roughness", "material"),
        ),
    ),
    answered=_answered,
    method=METHOD,
    charts=lambda values, answer, words: list(_charts(values, answer, words)),
    fine=frozenset({"running_clearance"}),
    labels=OIL_LABELS
    | {
        "viscosity": _("Viscosity in the film"),
        "cooling": _("The heat goes with"),
        "supply_temperature": _("Temperature of the oil supplied"),
        "ambient_temperature": _("Temperature of the air"),
        "housing_area": _("Surface of the housing"),
        "heat_transfer_coefficient": _("Heat given off by the housing"),
        "surface_roughness": _("Combined roughness"),
        "minimum_film_thickness": _("Least film"),
        "maximum_pressure": _("Peak pressure"),
        "dynamic_viscosity": _("Viscosity of the film"),
    },
    helps=OIL_HELPS
    | {
        "running_clearance": _("Diametral: bore less journal, warm."),
        "speed": _("Against bearing and load."),
        "load": _("Steady in size and direction."),
        "viscosity": _("No temperature is worked out then."),
        "cooling": _("With an oil: what carries off the heat."),
        "supply_temperature": _("Needed where the oil carries off the heat."),
        "ambient_temperature": _("Needed where the housing does."),
        "housing_area": _(
            "Needed where the housing does: about 20 times diameter times length in a machine's "
            "structure (ISO 7902-1, from memory)."
        ),
        "heat_transfer_coefficient": _("15 to 20 W/m2/K in still air."),
        "surface_roughness": _("Of journal and bearing, rms: the root of the sum of squares."),
    },
    asked=frozenset({"supply_temperature", "ambient_temperature", "housing_area"}),
    folded=frozenset(
        {
            "eccentricity_ratio",
            "sommerfeld_number",
            "attitude_angle",
            "friction_variable",
            "flow_variable",
            "side_flow_ratio",
            "pressure_ratio",
            "friction_coefficient",
            "dynamic_viscosity",
        }
    ),
    choices=OIL_CHOICES
    | {"oil-flow": _("the oil that flows through"), "housing": _("the housing, into the air")},
    cautions=(
        _(
            "This is for a steady load on a round, aligned bearing with clean oil that arrives. "
            "It is no licence to run a bearing that knocks, runs hot or shows metal in the oil: "
            "stop, and ask the workshop."
        ),
    ),
)
