"""The limits of a running fit, told as clearance, as sizes and as ISO 286 classes."""

from dataclasses import dataclass

from advisory.engineering.errors import OutOfRange
from advisory.engineering.fit_limits import (
    ClassPair,
    SizeLimits,
    nearest_classes,
    sizes_of_classes,
    sizes_of_clearance,
)
from advisory.register.enums import LimitsAs
from advisory.register.models import Position


class LimitsToldWrong(ValueError):
    """A class that ISO 286 does not have, or not for this part; `field` names it."""

    def __init__(self, field: str, limit: str) -> None:
        super().__init__(limit)
        self.field = field
        self.limit = limit


@dataclass(frozen=True)
class ThreeWays:
    """The limits as built of a journal bearing: given in one way, shown in all three."""

    given_as: LimitsAs
    least: float
    most: float
    sizes: SizeLimits | None
    classes: ClassPair | None


def clearance_of_classes(
    diameter: float, bore_class: str, journal_class: str
) -> tuple[float, float]:
    """Return the least and the greatest clearance of a pair of classes.

    Raises
    ------
    LimitsToldWrong
        For a pair that makes no fit at this diameter.
    """
    try:
        sizes = sizes_of_classes(diameter, bore_class, journal_class)
    except OutOfRange as error:
        # a class is looked up alone, so the message does not say whose it was
        field = error.argument
        if field == "tolerance_class":
            field = "journal_class" if error.value == journal_class else "bore_class"
        raise LimitsToldWrong("diameter" if field == "size" else field, error.limit) from error
    return sizes.clearance_least, sizes.clearance_most


def three_ways(position: Position) -> ThreeWays | None:
    """Return the limits of a position all three ways; None where it has none or no diameter."""
    least, most = position.as_built_least, position.as_built_most
    if least is None or most is None:
        return None
    if position.diameter is None:
        return ThreeWays(LimitsAs(position.limits_as), least, most, None, None)
    return ThreeWays(
        given_as=LimitsAs(position.limits_as),
        least=least,
        most=most,
        sizes=_sizes(position, least, most),
        classes=_classes(position, least, most),
    )


def _sizes(position: Position, least: float, most: float) -> SizeLimits | None:
    assert position.diameter is not None
    if position.limits_as == LimitsAs.CLASSES:
        return sizes_of_classes(position.diameter, position.bore_class, position.journal_class)
    told = (
        position.bore_least, position.bore_most, position.journal_least, position.journal_most,
    )  # fmt: skip
    if position.limits_as == LimitsAs.SIZES and None not in told:
        return SizeLimits(*(one for one in told if one is not None))
    return sizes_of_clearance(position.diameter, least, most)


def _classes(position: Position, least: float, most: float) -> ClassPair | None:
    assert position.diameter is not None
    if position.limits_as == LimitsAs.CLASSES:
        return ClassPair(position.bore_class, position.journal_class, least, most, exact=True)
    return nearest_classes(position.diameter, least, most)
