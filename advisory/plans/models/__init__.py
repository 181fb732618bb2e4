"""Plans: what a unit needs next and what was done, runs over all of them, bulletins."""

from advisory.plans.models.bulletins import Bulletin, BulletinUnit
from advisory.plans.models.plans import (
    TAKEN_BACK_WITHIN,
    ItemsInForce,
    PlanItem,
    WearMark,
    WorkDone,
)
from advisory.plans.models.runs import PlanRun, PlanRunPart

__all__ = [
    "TAKEN_BACK_WITHIN",
    "Bulletin",
    "BulletinUnit",
    "ItemsInForce",
    "PlanItem",
    "PlanRun",
    "PlanRunPart",
    "WearMark",
    "WorkDone",
]
