"""How a filter's efficiency is told: as a beta ratio or as a share."""

import numpy as np

from advisory.common.calculation import AtMostOne, Bounds, NumberField, Values
from advisory.engineering.dirt_balance import efficiency_from_beta

EFFICIENCY_FIELDS = (
    NumberField(
        name="beta_ratio",
        description="Particles above the rated size before the filter over those after it "
        "(ISO 16889).",
        bounds=Bounds(at_least=1.0),
        default=None,
    ),
    NumberField(
        name="efficiency",
        description="Share that the filter holds back in one pass, instead of the beta ratio.",
        bounds=Bounds(at_least=0.0, at_most=1.0),
        default=None,
    ),
)

EFFICIENCY_RULE = AtMostOne(("beta_ratio", "efficiency"))


def efficiency_of(values: Values) -> float | None:
    """Return the efficiency of one pass, None where neither is given."""
    if values["beta_ratio"] is not None:
        return float(np.asarray(efficiency_from_beta(values["beta_ratio"])))
    given = values["efficiency"]
    return None if given is None else float(given)
