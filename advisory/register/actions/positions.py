"""One position as it is put into a design: what makes sense, and its limits as a clearance."""

from dataclasses import dataclass, replace
from math import isfinite

from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.register.adapters import LimitsToldWrong, clearance_of_classes
from advisory.register.enums import BearingMaterial, LimitsAs, LipMaterial, PositionKind


@dataclass(frozen=True, kw_only=True)
class PositionData:
    """One position as it is put into a design; sizes in metres, load in newtons."""

    kind: str
    name: str
    diameter: float | None = None
    length: float | None = None
    material: str = ""
    surface_roughness: float | None = None
    load: float | None = None
    speed_ratio: float | None = None
    seal_material: str = ""
    limits_as: str = LimitsAs.CLEARANCE.value
    bore_least: float | None = None
    bore_most: float | None = None
    journal_least: float | None = None
    journal_most: float | None = None
    bore_class: str = ""
    journal_class: str = ""
    as_built_least: float | None = None
    as_built_most: float | None = None
    look_into_above: float | None = None
    wear_limit: float | None = None
    form_limit: float | None = None
    run_out_limit: float | None = None
    flatness_limit: float | None = None
    planes: int = 0
    directions: int = 1


SIZES = ("diameter", "length", "surface_roughness", "load", "speed_ratio")
SIZE_LIMITS = ("bore_least", "bore_most", "journal_least", "journal_most")
SHAPE_LIMITS = ("form_limit", "run_out_limit", "flatness_limit")
LIMITS = ("as_built_least", "as_built_most", "look_into_above", "wear_limit")
LARGEST = {
    "diameter": 2.0,
    "length": 20.0,
    "surface_roughness": 1e-3,
    "load": 1e7,
    "speed_ratio": 20.0,
    **dict.fromkeys(SIZE_LIMITS, 2.0),
}
LARGEST_LIMIT = 0.05  # m: no clearance, float or depth of wear is measured in more than this
MOST_PLANES, MOST_DIRECTIONS = 3, 2


def resolved(position: PositionData, prefix: str = "") -> PositionData:
    """Check a position, and give its limits as a clearance whichever way they were told.

    Raises
    ------
    Refused
        Naming the field.
    """
    if position.kind not in PositionKind.values:
        raise Refused(_("Choose what stands there."), field=f"{prefix}kind")
    if not position.name.strip():
        raise Refused(_("Name the position as you call it at the bench."), field=f"{prefix}name")
    if position.material not in ("", *BearingMaterial.values):
        raise Refused(_("Choose the material."), field=f"{prefix}material")
    if position.seal_material not in ("", *LipMaterial.values):
        raise Refused(_("Choose what the lip is made of."), field=f"{prefix}seal_material")
    if position.limits_as not in LimitsAs.values:
        raise Refused(_("Choose how the limits are given."), field=f"{prefix}limits_as")
    if not 0 <= position.planes <= MOST_PLANES:
        raise Refused(_("Measure in up to three planes."), field=f"{prefix}planes")
    if not 1 <= position.directions <= MOST_DIRECTIONS:
        raise Refused(_("Measure in one or two directions."), field=f"{prefix}directions")
    for field in (*SIZES, *SIZE_LIMITS):
        require_number(
            field, getattr(position, field), above=0, at_most=LARGEST[field], prefix=prefix
        )
    for field in SHAPE_LIMITS:
        value = getattr(position, field)
        require_number(field, value, above=0, at_most=LARGEST_LIMIT, prefix=prefix)
    position = _with_clearance(replace(position, name=position.name.strip()), prefix)
    _require_rising(position, prefix)
    return position


def check_position(position: PositionData, prefix: str = "") -> None:
    """Refuse a position that makes no sense.

    Raises
    ------
    Refused
        Naming the field.
    """
    resolved(position, prefix)


def require_number(
    field: str,
    value: float | None,
    *,
    above: float | None = None,
    at_least: float | None = None,
    at_most: float,
    prefix: str = "",
) -> None:
    """Refuse a number outside its bounds; None is none."""
    if value is None:
        return
    good = isfinite(value) and value <= at_most
    good = good and (above is None or value > above) and (at_least is None or value >= at_least)
    if not good:
        raise Refused(
            _("Enter a number above nought, in the unit beside it, or leave it empty."),
            field=f"{prefix}{field}",
            code="out_of_range",
        )


def _with_clearance(position: PositionData, prefix: str) -> PositionData:
    """Put the clearance that sizes or classes make into the limits as built."""
    if position.limits_as == LimitsAs.CLEARANCE:
        return _without_sizes(replace(position, bore_class="", journal_class=""))
    if position.kind != PositionKind.JOURNAL_BEARING:
        raise Refused(
            _("Only a journal bearing has a bore and a journal. Give its limits as they are."),
            field=f"{prefix}limits_as",
        )
    if position.limits_as == LimitsAs.SIZES:
        least, most = _of_sizes(position, prefix)
        position = replace(position, bore_class="", journal_class="")
    else:
        least, most = _of_classes(position, prefix)
        position = _without_sizes(position)
    if least < 0:
        told_at = "bore_least" if position.limits_as == LimitsAs.SIZES else "bore_class"
        raise Refused(
            _("The smallest bore is smaller than the largest journal: that does not run."),
            field=f"{prefix}{told_at}",
            code="no_clearance",
        )
    return replace(position, as_built_least=least, as_built_most=most)


def _without_sizes(position: PositionData) -> PositionData:
    return replace(position, bore_least=None, bore_most=None, journal_least=None, journal_most=None)


def _of_sizes(position: PositionData, prefix: str) -> tuple[float, float]:
    for field in SIZE_LIMITS:
        if getattr(position, field) is None:
            raise Refused(
                _("Give all four: bore and journal, least and most."), field=f"{prefix}{field}"
            )
    assert position.bore_least is not None
    assert position.bore_most is not None
    assert position.journal_least is not None
    assert position.journal_most is not None
    for least, most in (("bore_least", "bore_most"), ("journal_least", "journal_most")):
        if getattr(position, least) > getattr(position, most):
            raise Refused(
                _("The least is more than the most. Turn them round."), field=f"{prefix}{most}"
            )
    return position.bore_least - position.journal_most, position.bore_most - position.journal_least


def _of_classes(position: PositionData, prefix: str) -> tuple[float, float]:
    if position.diameter is None:
        raise Refused(
            _("Enter the nominal diameter: the classes depend on it."), field=f"{prefix}diameter"
        )
    for field in ("bore_class", "journal_class"):
        if not getattr(position, field).strip():
            raise Refused(
                _("Enter a class, such as H7 for the bore and f7 for the journal."),
                field=f"{prefix}{field}",
            )
    try:
        return clearance_of_classes(
            position.diameter, position.bore_class.strip(), position.journal_class.strip()
        )
    except LimitsToldWrong as wrong:
        raise Refused(
            _("ISO 286 has no such class here. Write one %(wanted)s.") % {"wanted": wrong.limit},
            field=f"{prefix}{wrong.field}",
            code="no_such_class",
        ) from wrong


def _require_rising(position: PositionData, prefix: str) -> None:
    last = None
    for field in LIMITS:
        value = getattr(position, field)
        require_number(field, value, at_least=0, at_most=LARGEST_LIMIT, prefix=prefix)
        if value is None:
            continue
        if last is not None and value < last:
            raise Refused(
                _("The limits must rise: as built from and to, look into above, stop at."),
                field=f"{prefix}{field}",
                code="limits_fall",
            )
        last = value
