"""Every change of a plan."""

from advisory.plans.actions.done import mark_done, take_back
from advisory.plans.actions.refresh import (
    CHUNK,
    refresh_plan,
    refresh_plans,
    refresh_soon,
    together,
)

__all__ = [
    "CHUNK",
    "mark_done",
    "refresh_plan",
    "refresh_plans",
    "refresh_soon",
    "take_back",
    "together",
]
