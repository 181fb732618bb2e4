"""The calculator of the oil-change interval."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    ChoiceField,
    Field,
    ListOut,
    NumberField,
    NumberOut,
    ObjectOut,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    TextOut,
    Values,
    Warned,
    YesNoField,
)
from advisory.common.quantities import (
    LENGTH,
    LENGTH_PER_TIME,
    MASS,
    METRIC,
    SPEED,
    TEMPERATURE,
    TIME,
    VOLUME,
    VOLUME_PER_TIME,
    Preferences,
)
from advisory.engineering.oil_change import (
    FILTRATIONS,
    METHOD,
    METHOD_VERSION,
    ROADS,
    OilChangeCase,
    OilChangeInterval,
    oil_change_interval,
    oil_change_intervals,
    reasons_for,
)
from advisory.lubrication.calculators.filter_fields import (
    EFFICIENCY_FIELDS,
    EFFICIENCY_RULE,
    efficiency_of,
)
from advisory.lubrication.calculators.viscosity import celsius
from advisory.lubrication.sentences import sentences

_YEAR = 365.25 * 86400.0
_LIMITS = ("dirt", "ageing", "calendar", "running-in", "workshop")


def _length(name: str, what: str, bounds: Bounds) -> QuantityField:
    return QuantityField(
        name=name, description=what, dimension=LENGTH, unit="km", bounds=bounds, default=None
    )


_FIELDS: tuple[Field, ...] = (
    ChoiceField(name="filtration", description="Kind of filter.", choices=FILTRATIONS),
    QuantityField(
        name="sump_volume",
        description="Oil in the unit.",
        dimension=VOLUME,
        unit="litre",
        bounds=Bounds(above=0.0, at_most=500.0),
    ),
    QuantityField(
        name="mean_speed",
        description="Mean speed of the car: it turns distance into running time.",
        dimension=SPEED,
        unit="km/hour",
        bounds=Bounds(above=0.0, at_most=300.0),
    ),
    *EFFICIENCY_FIELDS,
    QuantityField(
        name="filter_flow",
        description="Flow through the filter.",
        dimension=VOLUME_PER_TIME,
        unit="litre/minute",
        bounds=Bounds(at_least=0.0),
        default=None,
    ),
    QuantityField(
        name="dirt_capacity",
        description="Dirt that the filter's element still holds; 0 is one that is used up.",
        dimension=MASS,
        unit="g",
        bounds=Bounds(at_least=0.0),
        default=None,
    ),
    NumberField(
        name="residue_fraction",
        description="Share of the old oil that stays behind at a drain.",
        bounds=Bounds(at_least=0.0, at_most=0.9),
        default=0.1,
    ),
    ChoiceField(
        name="roads",
        description="Roads that the car mostly uses.",
        choices=ROADS,
        default="sealed",
    ),
    YesNoField(
        name="breather_filtered",
        description="Whether the unit breathes through a filter.",
        default=False,
    ),
    QuantityField(
        name="sump_temperature",
        description="Temperature of the oil on a warm run.",
        dimension=TEMPERATURE,
        unit="degC",
        bounds=Bounds(at_least=0.0, at_most=150.0),
        default="80 degC",
    ),
    NumberField(
        name="short_run_share",
        description="Share of the distance in runs too short to warm the oil.",
        bounds=Bounds(at_least=0.0, at_most=1.0),
        default=0,
    ),
    _length(
        "distance_since_rebuild",
        "Distance since the rebuild when this fill goes in. Not given: run in.",
        Bounds(at_least=0.0),
    ),
    QuantityField(
        name="annual_distance",
        description="Distance in a year: it decides which limit comes first.",
        dimension=LENGTH_PER_TIME,
        unit="km/year",
        bounds=Bounds(at_least=0.0),
        default=None,
    ),
    _length("workshop_distance", "Distance of the workshop's instruction.", Bounds(above=0.0)),
    NumberField(
        name="workshop_months",
        description="Months of the workshop's instruction.",
        bounds=Bounds(above=0.0, at_most=1200.0),
        default=None,
    ),
)


def _distance(what: str, *, nullable: bool = False) -> QuantityOut:
    return QuantityOut(
        name="distance", description=what, unit="km", dimension=LENGTH, nullable=nullable
    )


def _running_time(what: str, *, nullable: bool = False) -> QuantityOut:
    return QuantityOut(
        name="running_time", description=what, unit="hour", dimension=TIME, nullable=nullable
    )


def _limit(name: str) -> ObjectOut:
    return ObjectOut(
        name=name,
        description="This limit, in the measures in which it counts; null where it doesn't apply.",
        nullable=True,
        parts=(
            _distance("Distance.", nullable=True),
            _running_time("Running time.", nullable=True),
            NumberOut(name="months", description="Months.", nullable=True),
        ),
    )


_LIMITED_BY = TextOut(name="limited_by", description="The limit that comes first.", choices=_LIMITS)
_ANSWERS: tuple[Out, ...] = (
    _distance("Change at this distance, this running time or these months: whichever first."),
    _running_time("The distance at the mean speed."),
    NumberOut(name="months", description="Months."),
    _LIMITED_BY,
    ObjectOut(
        name="limits",
        description="Each limit by itself.",
        parts=tuple(_limit(name) for name in _LIMITS),
    ),
    QuantityOut(
        name="filter_change_distance",
        description="Distance after which the filter's element is full; null without a filter or "
        "where its capacity is not given.",
        unit="km",
        dimension=LENGTH,
        nullable=True,
    ),
    ListOut(
        name="compare",
        description="The same unit with each kind of filter.",
        item=ObjectOut(
            name="alternative",
            description="The unit with this kind of filter.",
            parts=(
                TextOut(name="filtration", description="Kind of filter.", choices=FILTRATIONS),
                _distance("Distance."),
                _LIMITED_BY,
            ),
        ),
    ),
    ListOut(
        name="reasons",
        description="Sentences that a person can read.",
        item=TextOut(name="reason", description="A sentence."),
    ),
)


def _case(row: Values) -> OilChangeCase:
    annual = row["annual_distance"]
    filtered = row["filtration"] in {"bypass", "full-flow"}
    return OilChangeCase(
        filtration=row["filtration"],
        sump_volume=row["sump_volume"],
        mean_speed=row["mean_speed"],
        efficiency=efficiency_of(row) if filtered else None,
        filter_flow=row["filter_flow"] if filtered else None,
        dirt_capacity=row["dirt_capacity"] if filtered else None,
        residue_fraction=row["residue_fraction"],
        roads=row["roads"],
        breather_filtered=row["breather_filtered"],
        sump_temperature_c=celsius(row["sump_temperature"]),
        short_run_share=row["short_run_share"],
        distance_since_rebuild=row["distance_since_rebuild"],
        annual_distance=None if annual is None else annual * _YEAR,
        workshop_distance=row["workshop_distance"],
        workshop_months=row["workshop_months"],
    )


def reasons_in(row: Values, preferences: Preferences) -> list[str]:
    """Return the reasons of one case in a reader's units."""
    return sentences(reasons_for(oil_change_interval(_case(row))), preferences)


def _warnings(row: Values, result: OilChangeInterval) -> tuple[Warned, ...]:
    said: list[Warned] = []
    told = [
        name
        for name in ("beta_ratio", "efficiency", "filter_flow", "dirt_capacity")
        if row[name] is not None
    ]
    if row["filtration"] in {"none", "strainer"} and told:
        said.append(
            Warned(
                "filter_ignored",
                _("Without a filter these count for nothing: %(names)s.")
                % {"names": ", ".join(told)},
            )
        )
    full_at = result.filter_change_distance
    if full_at is not None and full_at < result.distance:
        said.append(
            Warned(
                "filter_full_early",
                _("The filter is full before the oil is due, and counts as none from there on."),
            )
        )
    return tuple(said)


def _values(result: OilChangeInterval) -> dict[str, Any]:
    limits = {
        name: None
        if limit is None
        else {
            "distance": limit.distance,
            "running_time": limit.running_time,
            "months": limit.months,
        }
        for name, limit in result.limits.items()
    }
    return {
        "distance": result.distance,
        "running_time": result.running_time,
        "months": result.months,
        "limited_by": result.limited_by,
        "limits": limits,
        "filter_change_distance": result.filter_change_distance,
        "compare": [
            {
                "filtration": other.filtration,
                "distance": other.distance,
                "limited_by": other.limited_by,
            }
            for other in result.compare
        ],
        "reasons": sentences(reasons_for(result), METRIC),
    }


def _compute(rows: Sequence[Values]) -> list[Answer]:
    results = oil_change_intervals([_case(row) for row in rows])
    return [
        Answer(_values(result), _warnings(row, result))
        for row, result in zip(rows, results, strict=True)
    ]


OIL_CHANGE = Calculator(
    name=METHOD,
    version=METHOD_VERSION,
    summary="When to change a unit's oil, what sets it, and the same with other filters.",
    takes=Shape(fields=_FIELDS, rules=(EFFICIENCY_RULE,)),
    answers=_ANSWERS,
    sources=(
        "Mass balance of a stirred vessel over successive fills, solved exactly",
        "ISO 16889, efficiency 1 - 1/beta (read in a summary)",
        "Intervals, ageing and running-in: common practice, no source",
        "The other figures are set by us; all of them stand in one table (ASSUMPTIONS)",
    ),
    compute=_compute,
    example={
        "filtration": "bypass",
        "sump_volume": "3.2 litre",
        "mean_speed": "45 km/hour",
    },
    arguments={"sump_temperature_c": "sump_temperature"},
)
