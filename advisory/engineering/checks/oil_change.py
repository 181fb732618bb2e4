"""What common practice gives, beside the interval that is computed."""

from __future__ import annotations

from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.oil_change import (
    Filtration,
    OilChangeCase,
    Roads,
    ageing_life,
    oil_change_interval,
)

_BAND = "common practice, the middle of a band and half its width"
_RULE = "common practice: 1000 h at 60 degC, half for each 10 K more"


def _distance(filtration: Filtration, roads: Roads = "sealed", short_runs: float = 0.0) -> float:
    case = OilChangeCase(
        filtration=filtration,
        sump_volume=4e-3,
        mean_speed=50 / 3.6,
        roads=roads,
        short_run_share=short_runs,
    )
    return oil_change_interval(case).distance / 1e3


def _life(temperature_c: float) -> float:
    return float(ageing_life(temperature_c)) / 3600.0


CHECKS: tuple[CheckValue, ...] = (
    CheckValue(
        "no filter, straight oil, sealed roads", 1200, "km", partial(_distance, "none"), 400,
        _BAND, ("P",), absolute=True,
    ),
    CheckValue(
        "bypass filter", 3000, "km", partial(_distance, "bypass"), 1000, _BAND, ("P",),
        absolute=True,
    ),
    CheckValue(
        "full-flow filter", 4000, "km", partial(_distance, "full-flow"), 1000, _BAND, ("P",),
        absolute=True,
    ),
    CheckValue(
        "no filter, unsealed roads", 600, "km", partial(_distance, "none", "unsealed"), 200,
        "common practice, half of the band", ("P",), absolute=True,
    ),
    CheckValue(
        "no filter, two thirds in short cold runs", 600, "km",
        partial(_distance, "none", "sealed", 2 / 3), 200, "common practice, half of the band",
        ("P",), absolute=True,
    ),
    *(
        CheckValue(f"life of oil at {t:g} degC", h, "h", partial(_life, t), 1e-9, _RULE, ("P",))
        for t, h in ((60.0, 1000.0), (80.0, 250.0), (100.0, 62.5))
    ),
)  # fmt: skip
