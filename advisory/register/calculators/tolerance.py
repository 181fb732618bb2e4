"""The calculator of limits and fits by ISO 286."""

from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    Field,
    ObjectOut,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    TextField,
    Values,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import LENGTH
from advisory.engineering.errors import OutOfRange
from advisory.engineering.tolerances import SIZE_LIMITS, ToleranceZone, fit, tolerance_zone

_FIELDS: tuple[Field, ...] = (
    QuantityField(
        name="size",
        description="Nominal size.",
        dimension=LENGTH,
        unit="mm",
        bounds=Bounds(at_least=SIZE_LIMITS[0] * 1e3, at_most=SIZE_LIMITS[1] * 1e3),
    ),
    TextField(
        name="tolerance_class",
        description="Letter and grade, such as H7 for a hole or r6 for a shaft.",
        longest=8,
    ),
    TextField(
        name="mating_class",
        description="Class of the part that goes with it: of a shaft with a hole, of a hole with a "
        "shaft.",
        longest=8,
        default=None,
    ),
)


def _micrometres(name: str, what: str) -> QuantityOut:
    return QuantityOut(name=name, description=what, unit="um", dimension=LENGTH)


_ANSWERS: tuple[Out, ...] = (
    _micrometres("upper_deviation", "Greatest size less nominal size."),
    _micrometres("lower_deviation", "Least size less nominal size."),
    _micrometres("tolerance", "Greatest size less least size."),
    ObjectOut(
        name="fit",
        description="Play of the pair, diametral, negative is interference; null without a mating "
        "class.",
        nullable=True,
        parts=(
            _micrometres("minimum_clearance", "Least clearance."),
            _micrometres("maximum_clearance", "Greatest clearance."),
        ),
    ),
)


def _zone(values: Values, name: str) -> ToleranceZone:
    size = min(max(values["size"], SIZE_LIMITS[0]), SIZE_LIMITS[1])
    return tolerance_zone(size, values[name])


def _classes_exist(values: Values) -> Iterable[FieldError]:
    """Look both classes up, so that each error stands at its own field."""
    zones = []
    for name in ("tolerance_class", "mating_class"):
        if values[name] is None:
            continue
        try:
            zones.append(_zone(values, name))
        except OutOfRange as error:
            message = _("ISO 286 has no class “%(given)s” here: it must be %(limit)s.") % {
                "given": error.value,
                "limit": error.limit,
            }
            yield FieldError(name, message, error.limit)
    if len(zones) == 2 and zones[0].is_hole == zones[1].is_hole:
        limit = (
            _("a class of a shaft, with a small letter")
            if zones[0].is_hole
            else _("a class of a hole, with a capital letter")
        )
        yield FieldError("mating_class", _("It must be %(limit)s.") % {"limit": limit}, limit)


def _clean(metres: float) -> float:
    """Take off the dust of the last digits: the tables are in whole micrometres and halves."""
    return round(metres * 1e6, 3) / 1e6


def _answer(row: Values) -> Answer:
    zone = _zone(row, "tolerance_class")
    pair = None
    if row["mating_class"] is not None:
        size = min(max(row["size"], SIZE_LIMITS[0]), SIZE_LIMITS[1])
        play = fit(size, row["tolerance_class"], row["mating_class"])
        pair = {
            "minimum_clearance": _clean(play.minimum_clearance),
            "maximum_clearance": _clean(play.maximum_clearance),
        }
    return Answer(
        {
            "upper_deviation": _clean(zone.upper_deviation),
            "lower_deviation": _clean(zone.lower_deviation),
            "tolerance": _clean(zone.tolerance),
            "fit": pair,
        }
    )


def _compute(rows: Sequence[Values]) -> list[Answer]:
    # Two look-ups in a table a case: there is nothing to compute together.
    return [_answer(row) for row in rows]


TOLERANCE = Calculator(
    name="tolerance",
    version="1",
    summary="Limits of a size by its tolerance class, and the play of a pair (ISO 286).",
    takes=Shape(fields=_FIELDS, checks=(_classes_exist,)),
    answers=_ANSWERS,
    sources=(
        (
            "ISO 286-1:2010, tables 1 to 5 and clause 4.3 (from memory, compared with two "
            "published libraries)"
        ),
        "ISO 286-2, printed tables (read where the two libraries agree)",
    ),
    compute=_compute,
    example={
        "size": "25 mm",
        "tolerance_class": "H7",
        "mating_class": "r6",
    },
)
