"""Every change of a plan."""

from advisory.plans.actions.by_day import refresh_whose_day_came
from advisory.plans.actions.done import mark_done, take_back
from advisory.plans.actions.night import open_run, work_on
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
    "open_run",
    "refresh_plan",
    "refresh_plans",
    "refresh_soon",
    "refresh_whose_day_came",
    "take_back",
    "together",
    "work_on",
]
