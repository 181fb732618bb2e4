"""A derived figure of a build sheet, and what it is derived from."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, auto

from advisory.engineering.measured import Measured, Verdict, verdict
from advisory.register.enums import Stands
from advisory.register.sheet_fields import Gauge

# A maker's "may be off by ±a" says nothing of where in between: JCGM 100:2008 (GUM), 4.3.7, takes
# a / sqrt(3) for the standard uncertainty (read in summaries).
LIMIT_TO_STANDARD = 1 / math.sqrt(3)
ISO_14253 = "ISO 14253-1"


class Shown(Enum):
    """In what a derived figure is written."""

    SMALL = auto()
    SIZE = auto()
    SPEED = auto()
    PRESSURE = auto()
    TORQUE = auto()
    TEMPERATURE = auto()
    HARDNESS = auto()
    ROUGHNESS = auto()


@dataclass(frozen=True)
class Derived:
    """One figure that follows from others, or stands against a limit; SI, its own unit for HRC."""

    name: str
    label: str
    value: float
    shown: Shown = Shown.SMALL
    uncertainty: float | None = None
    stands: Stands = Stands.NO_LIMIT
    least: float | None = None
    most: float | None = None
    source: str = ""


@dataclass(frozen=True)
class Figures:
    """What stands on a sheet at one position: single figures, rows of readings, choices."""

    values: Mapping[str, float] = field(default_factory=dict)
    readings: Mapping[str, Sequence[Sequence[float | None]]] = field(default_factory=dict)
    chosen: Mapping[str, str] = field(default_factory=dict)
    # how far each kind of instrument may be off, in metres
    off: Mapping[Gauge, float] = field(default_factory=dict)

    def measured(self, name: str, gauge: Gauge) -> Measured | None:
        """Return a figure with its standard uncertainty."""
        value, off = self.values.get(name), self.off.get(gauge)
        if value is None:
            return None
        return Measured(value, None if off is None else off * LIMIT_TO_STANDARD)


_STANDS = {
    Verdict.WITHIN: Stands.WITHIN,
    Verdict.BELOW: Stands.BELOW,
    Verdict.ABOVE: Stands.ABOVE,
    Verdict.CANNOT_TELL: Stands.CANNOT_TELL,
    Verdict.NO_LIMIT: Stands.NO_LIMIT,
}


def stands_of(
    value: float, uncertainty: float | None, least: float | None, most: float | None
) -> Stands:
    """Say how a figure stands against limits, with its standard uncertainty."""
    return _STANDS[verdict(Measured(value, uncertainty), least, most)]


def against(
    name: str, label: str, figure: Measured, least: float | None, most: float | None,
    shown: Shown = Shown.SMALL,
) -> Derived:  # fmt: skip
    """Hold a measured figure against its limits."""
    return Derived(
        name, label, figure.value, shown, figure.uncertainty,
        stands_of(figure.value, figure.uncertainty, least, most), least, most,
        ISO_14253 if figure.uncertainty is not None else "",
    )  # fmt: skip
