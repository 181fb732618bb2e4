"""The calculator of wear: when a clearance reaches its limit, and when to look at it next."""

from collections.abc import Iterable, Sequence

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    Field,
    ListField,
    ListOut,
    NumberField,
    NumberOut,
    ObjectField,
    ObjectOut,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    Values,
    Warned,
    WholeOut,
    registry,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import LENGTH
from advisory.engineering.wear import FEW_UNITS, Contradiction, Measured, WearForecast, wear_of

MOST_MEASUREMENTS = 200
MOST_UNITS = 500
_KM = 1000.0
_SOON_ENOUGH = 0.5  # a limit that is more likely passed than not is called passed


def _distance(name: str, what: str, **given: object) -> QuantityField:
    return QuantityField(
        name=name,
        description=what,
        dimension=LENGTH,
        unit="km",
        bounds=Bounds(at_least=0.0, at_most=5e6),
        **given,
    )


_MEASUREMENT = ObjectField(
    name="measurement",
    description="One measurement.",
    shape=Shape(
        fields=(
            _distance("distance", "Distance at which it was taken."),
            QuantityField(
                name="value",
                description="Clearance or end float that was measured.",
                dimension=LENGTH,
                unit="mm",
                bounds=Bounds(at_least=0.0, at_most=100.0),
            ),
            QuantityField(
                name="uncertainty",
                description="Its uncertainty, one standard deviation.",
                dimension=LENGTH,
                unit="mm",
                bounds=Bounds(at_least=1e-5, at_most=10.0),
                default="0.005 mm",
            ),
        )
    ),
)
_FIELDS: tuple[Field, ...] = (
    ListField(
        name="measurements",
        description="What was measured on this unit, on one scale of distance.",
        item=_MEASUREMENT,
        at_most=MOST_MEASUREMENTS,
    ),
    QuantityField(
        name="limit",
        description="The value at which it is worn out.",
        dimension=LENGTH,
        unit="mm",
        bounds=Bounds(above=0.0, at_most=100.0),
    ),
    ListField(
        name="fleet",
        description="Other units of the same design, each a list of its measurements, with "
        "distances since it was built.",
        item=ListField(
            name="unit",
            description="One other unit.",
            item=_MEASUREMENT,
            at_most=MOST_MEASUREMENTS,
        ),
        at_least=0,
        at_most=MOST_UNITS,
        default=[],
    ),
    _distance(
        "distance_at_build",
        "Distance of this unit's scale at which it was built.",
        default="0 km",
    ),
    NumberField(
        name="worst_chance",
        description="Chance of passing the limit before the next inspection that is put up with.",
        bounds=Bounds(at_least=0.001, at_most=0.5),
        default=0.05,
    ),
    _distance("at_least", "The workshop's shortest way to the next inspection.", default=None),
    _distance("at_most", "The workshop's longest way to the next inspection.", default=None),
)


def _after_it_was_built(values: Values) -> Iterable[FieldError]:
    for place, one in enumerate(values["measurements"]):
        if one["distance"] < values["distance_at_build"]:
            limit = _("at least distance_at_build")
            yield FieldError(
                f"measurements[{place}].distance",
                _("It must be %(limit)s.") % {"limit": limit},
                limit,
            )


def _bounds_in_order(values: Values) -> Iterable[FieldError]:
    least, most = values["at_least"], values["at_most"]
    if least is not None and most is not None and least > most:
        limit = _("at least at_least")
        yield FieldError("at_most", _("It must be %(limit)s.") % {"limit": limit}, limit)


def _far(name: str, what: str) -> QuantityOut:
    return QuantityOut(name=name, description=what, unit="km", dimension=LENGTH, nullable=True)


_RATE_UNIT = "um per 1000 km"
_RATE_PER_SI = 1e12  # of metres a metre in micrometres a thousand kilometres
_ANSWERS: tuple[Out, ...] = (
    QuantityOut(
        name="rate",
        description="How fast it wears: the middle of what the measurements allow.",
        unit=_RATE_UNIT,
        per_si=_RATE_PER_SI,
    ),
    ListOut(
        name="rate_interval",
        description="Lower and upper end of the rate, 80 %.",
        item=QuantityOut(name="end", description="An end.", unit=_RATE_UNIT, per_si=_RATE_PER_SI),
    ),
    ObjectOut(
        name="distance_to_limit",
        description="Distance from the last measurement to the limit, with a chance of 10, 50 "
        "and 90 % that it is reached by then; null beyond 1 000 000 km, and where the measurements "
        "contradict one another.",
        parts=(
            _far("p10", "Reached by then with a chance of 10 %."),
            _far("p50", "Reached by then as likely as not."),
            _far("p90", "Reached by then with a chance of 90 %."),
        ),
    ),
    _far(
        "next_inspection",
        "Distance from the last measurement at which to look next; 0 where the measurements "
        "contradict one another, null where nothing bounds it.",
    ),
    NumberOut(name="chance_passed", description="Chance that it is past its limit already."),
    WholeOut(
        name="units_alike",
        description="Other units of the design that were measured at two distances at least.",
    ),
)


def _measured(told: Sequence[Values], built: float = 0.0) -> Measured:
    return Measured(
        distance=np.array([one["distance"] - built for one in told]),
        value=np.array([one["value"] for one in told]),
        uncertainty=np.array([one["uncertainty"] for one in told]),
    )


def _warned(
    found: WearForecast, row: Values, chance_now: float, looked: float | None
) -> list[Warned]:
    said = []
    if found.contradiction is not None:
        said.append(Warned("measurements_contradict", _contradict(found.contradiction)))
    if chance_now >= _SOON_ENOUGH:
        said.append(
            Warned(
                "limit_passed",
                _("It is past its limit, more likely than not: don't run it, ask the workshop."),
            )
        )
    elif chance_now > row["worst_chance"]:
        said.append(
            Warned(
                "limit_near",
                _("It is past its limit already with a chance of %(chance)d %%: measure it again.")
                % {"chance": round(100 * chance_now)},
            )
        )
    elif looked is not None and looked == row["at_least"]:
        chance = float(found.chance_passed(looked))
        if chance > row["worst_chance"] * 1.001:
            said.append(
                Warned(
                    "at_least_too_far",
                    _("By at_least the chance of having passed the limit is %(chance)d %%.")
                    % {"chance": round(100 * chance)},
                )
            )
    if found.distance_at(0.5) is None and found.contradiction is None:
        said.append(
            Warned(
                "no_finite_limit",
                _("It hardly wears: as these measurements stand, no limit is in sight."),
            )
        )
    if found.left_out:
        said.append(
            Warned(
                "fleet_contradicts",
                ngettext(
                    "Measurements of %(n)d other unit contradict one another: it isn't counted.",
                    "Measurements of %(n)d other units contradict one another: they aren't "
                    "counted.",
                    found.left_out,
                )
                % {"n": found.left_out},
            )
        )
    if found.alike < FEW_UNITS:
        said.append(
            Warned(
                "fleet_says_little",
                _(
                    "Fewer than %(n)d other units of the design tell a rate: this rests on its own "
                    "measurements and on what is usual of such units."
                )
                % {"n": FEW_UNITS},
            )
        )
    return said


def _contradict(found: Contradiction) -> str:
    if found.same_distance:
        why = _("They were taken at the same distance, and differ by more than they may be off.")
    else:
        why = _("A clearance doesn't get smaller by running: one is off, or something has moved.")
    return _(
        "Measurements %(larger)d and %(smaller)d contradict one another. %(why)s No distance is "
        "told. Measure it again, cold and clean; if it stays so, ask the workshop before it runs."
    ) % {"larger": found.larger + 1, "smaller": found.smaller + 1, "why": why}


def forecast_of(row: Values) -> WearForecast:
    """Return what the values of a case tell of a unit's wear."""
    return wear_of(
        _measured(row["measurements"], row["distance_at_build"]),
        row["limit"],
        [_measured(unit) for unit in row["fleet"]],
    )


def _answer(row: Values) -> Answer:
    found = forecast_of(row)
    looked = found.next_inspection(row["worst_chance"], row["at_least"], row["at_most"])
    chance_now = float(found.chance_passed(0.0))
    return Answer(
        {
            "rate": found.median_rate,
            "rate_interval": found.rate_interval,
            "distance_to_limit": {
                name: found.distance_at(chance)
                for name, chance in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))
            },
            "next_inspection": looked,
            "chance_passed": round(chance_now, 6),
            "units_alike": found.alike,
        },
        tuple(_warned(found, row, chance_now, looked)),
    )


def _compute(rows: Sequence[Values]) -> list[Answer]:
    # The measurements of a design are weighed together; two cases have nothing in common.
    return [_answer(row) for row in rows]


def _told(*points: tuple[float, float]) -> list[dict[str, str]]:
    return [{"distance": f"{km:g} km", "value": f"{mm:g} mm"} for km, mm in points]


WEAR = registry.register(
    Calculator(
        name="wear",
        version="1",
        summary="When a clearance reaches its limit, and when to look at it next.",
        takes=Shape(fields=_FIELDS, checks=(_after_it_was_built, _bounds_in_order)),
        answers=_ANSWERS,
        sources=(
            "A. Gelman et al., Bayesian Data Analysis, 3rd ed., 5.4 and 10.1 (from memory)",
            "Wear by distance as a straight line: common practice, no source",
            "JCGM 100:2008 (GUM), 6.2: what figures may differ by (from memory)",
        ),
        compute=_compute,
        arguments=dict.fromkeys(("distance", "value", "uncertainty"), "measurements"),
        example={
            "measurements": _told((0, 0.050), (9_000, 0.062), (17_500, 0.070)),
            "limit": "0.12 mm",
            "fleet": [
                _told((0, 0.048), (11_000, 0.060)),
                _told((0, 0.053), (8_000, 0.061), (21_000, 0.083)),
                _told((0, 0.045), (15_000, 0.066)),
                _told((0, 0.051), (30_000, 0.079)),
            ],
            "worst_chance": 0.05,
            "at_least": "3000 km",
            "at_most": "20000 km",
        },
        most_cases=500,
    )
)
