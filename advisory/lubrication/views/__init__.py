"""Pages of the lubrication app."""

from advisory.lubrication.views.choice import choice, choice_figures, pipe
from advisory.lubrication.views.oil import (
    advice,
    arrangement,
    arrangement_new,
    assumptions,
    lubricant_new,
    lubricants,
    services,
    strike,
)

__all__ = [
    "advice",
    "arrangement",
    "arrangement_new",
    "assumptions",
    "choice",
    "choice_figures",
    "lubricant_new",
    "lubricants",
    "pipe",
    "services",
    "strike",
]
