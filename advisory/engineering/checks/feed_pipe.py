"""Squashed feed pipes beside values that were computed independently."""

from __future__ import annotations

from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.feed_pipe import feed_pipe_flow

_WHOLE = (
    "Ellipse of Boussinesq with the wall's length kept, computed independently and agreeing with a "
    "brute-force solution of the duct"
)
_PART = "The same over 20 mm of 1 m, lengths in series, computed independently"


def _ratio(height: float, crushed: float | None) -> float:
    pipe = feed_pipe_flow(
        bore=0.006,
        length=1.0,
        pressure_difference=1e4,
        viscosity=0.1,
        flattened_to=height * 0.006,
        flattened_length=crushed,
    )
    return float(pipe.flow_ratio)


def _round_flow() -> float:
    pipe = feed_pipe_flow(bore=0.01, length=2.0, pressure_difference=8e4, viscosity=0.05)
    return float(pipe.flow) * 1e6


CHECKS = (
    *(
        CheckValue(
            what=f"flow against round, squashed to {height:g} of the bore",
            published=ratio,
            unit="",
            compute=partial(_ratio, height, None),
            tolerance=tolerance,
            source=_WHOLE,
            marks=("C",),
            absolute=True,
        )
        for height, ratio, tolerance in (
            (0.9, 0.953, 5.1e-4),
            (0.75, 0.749, 5.1e-4),
            (0.5, 0.309, 5.1e-4),
            (0.33, 0.101, 5.1e-4),
            (0.25, 0.046, 5.1e-4),
            (0.1, 0.0031, 5.1e-5),
        )
    ),
    *(
        CheckValue(
            what=f"flow against round, 20 mm of 1 m squashed to {height:g} of the bore",
            published=ratio,
            unit="",
            compute=partial(_ratio, height, 0.02),
            tolerance=5.1e-4,
            source=_PART,
            marks=("C",),
            absolute=True,
        )
        for height, ratio in ((0.5, 0.957), (0.25, 0.707), (0.1, 0.135))
    ),
    CheckValue(
        what="flow through a round pipe of 10 mm, 2 m, 80 kPa, 50 mPa s",
        published=196.350,
        unit="ml/s",
        compute=_round_flow,
        tolerance=1e-5,
        source="Hagen and Poiseuille, pi R^4 dp/(8 mu L), worked by hand: 62.5 pi ml/s",
        marks=("C",),
    ),
)
