"""All kinds of work that a plan can ask for; what is listed here is on every plan it applies to."""

from advisory.plans.work.base import (
    Asked,
    AskedByBulletin,
    Facts,
    Instruction,
    Matter,
    Reason,
    Work,
    WornPlace,
)
from advisory.plans.work.bulletins import BULLETIN
from advisory.plans.work.coolant import COOLANT_STRENGTH
from advisory.plans.work.found import PUT_RIGHT
from advisory.plans.work.looking import (
    CLEARANCES,
    END_FLOAT,
    FIRST_LOOK,
    MEASURED_BY,
    PIPE_CHECK,
    SEAL_WEEP,
)
from advisory.plans.work.oil import FILTER_CHANGE, LAY_UP_OIL, OIL_CHANGE
from advisory.register.enums import WorkKind

# Where two things are due on the same day, the one that stands first here is done first.
WORKS: dict[WorkKind, Work] = {
    work.kind: work
    for work in (
        PUT_RIGHT,
        BULLETIN,
        FIRST_LOOK,
        OIL_CHANGE,
        FILTER_CHANGE,
        PIPE_CHECK,
        END_FLOAT,
        CLEARANCES,
        SEAL_WEEP,
        COOLANT_STRENGTH,
        LAY_UP_OIL,
    )
}

__all__ = [
    "MEASURED_BY",
    "WORKS",
    "Asked",
    "AskedByBulletin",
    "Facts",
    "Instruction",
    "Matter",
    "Reason",
    "Work",
    "WornPlace",
]
