"""Published and independently computed values of filters and of the dirt in a sump."""

from __future__ import annotations

from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.dirt_balance import DirtBalance, dirt_balance, efficiency_from_beta

_ISO = "ISO 16889, filtration ratio and efficiency"
_EXAMPLE = "5 l, 10 mg an hour, fills of 40 hours; computed twice independently"
_HOUR = 3600.0
_LITRE = 1e-3
_MG_PER_LITRE = 1e-3


def _sump(fills: int = 1, *, residue: float = 0.0, flow: float = 0.0) -> DirtBalance:
    return dirt_balance(
        sump_volume=5 * _LITRE,
        ingress_rate=10e-6 / _HOUR,
        duration=40 * _HOUR,
        filter_flow=flow * _LITRE / 60,
        efficiency=0.5,
        residue_fraction=residue,
        fills=fills,
    )


def _end(fills: int = 1, residue: float = 0.0, flow: float = 0.0) -> float:
    return float(_sump(fills, residue=residue, flow=flow).concentration) / _MG_PER_LITRE


def _efficiency(beta: float) -> float:
    return 100.0 * float(efficiency_from_beta(beta))


CHECKS: tuple[CheckValue, ...] = (
    *(
        CheckValue(
            f"efficiency at beta {beta:g}", e, "%", partial(_efficiency, beta), 1e-4, _ISO, ("R",)
        )
        for beta, e in ((2.0, 50.0), (10.0, 90.0), (75.0, 98.67), (200.0, 99.5))
    ),
    CheckValue("no filter, one fill", 80.0, "mg/l", _end, 1e-9, _EXAMPLE, ("C",)),
    CheckValue(
        "no filter, a tenth left at each drain, after many fills", 88.89, "mg/l",
        partial(_end, 200, 0.1), 1e-4, _EXAMPLE, ("C",),
    ),
    CheckValue(
        "bypass 0.8 l/min at beta 2", 0.417, "mg/l", partial(_end, 1, 0.0, 0.8), 1e-3, _EXAMPLE,
        ("C",),
    ),
    CheckValue(
        "its time constant", 12.5, "min", lambda: float(_sump(flow=0.8).time_constant) / 60, 1e-9,
        _EXAMPLE, ("C",),
    ),
)  # fmt: skip
