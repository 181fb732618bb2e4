"""Freezing points of glycol mixes beside a published library's."""

from __future__ import annotations

from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.coolant import Glycol, freezing_point, mass_fraction_of

_LIBRARY = "CoolProp 8.0, INCOMP::MEG and INCOMP::MPG (polynomials of A. Melinder, IIR 2010)"


def _freezing(glycol: Glycol, mass_fraction: float) -> float:
    return float(freezing_point(glycol, mass_fraction))


CHECKS = (
    *(
        CheckValue(
            what=f"freezing point, {glycol.value} glycol, {share:.0%} of the mass",
            published=value,
            unit="degC",
            compute=partial(_freezing, glycol, share),
            tolerance=0.0011,
            source=_LIBRARY,
            marks=("C",),
            absolute=True,
            remark="Handbook tables are up to 2.9 K warmer; hence the margin of 3 K.",
        )
        for glycol, values in (
            (
                Glycol.ETHYLENE,
                {
                    0.05: -1.583,
                    0.1: -3.357,
                    0.2: -7.949,
                    0.3: -14.576,
                    0.4: -23.813,
                    0.5: -35.994,
                    0.6: -51.201,
                },
            ),
            (
                Glycol.PROPYLENE,
                {
                    0.05: -1.209,
                    0.1: -2.867,
                    0.2: -7.173,
                    0.3: -12.789,
                    0.4: -20.568,
                    0.5: -32.193,
                    0.6: -50.003,
                },
            ),
        )
        for share, value in values.items()
    ),
    *(
        CheckValue(
            what=f"share of mass of a mix of half {glycol.value} glycol by volume",
            published=value,
            unit="",
            compute=partial(lambda g: float(mass_fraction_of(g, 0.5)), glycol),
            tolerance=5.1e-5,
            source="Densities at 20 degC 1113.2, 1036.1 and 998.2 kg/m3, worked by hand",
            marks=("C",),
            absolute=True,
        )
        for glycol, value in ((Glycol.ETHYLENE, 0.5272), (Glycol.PROPYLENE, 0.5093))
    ),
)
