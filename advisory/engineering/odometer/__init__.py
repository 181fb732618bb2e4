"""Distance from what an odometer showed: rollover, replaced instruments, numbers nobody believes.

Days are proleptic ordinals (`datetime.date.toordinal`), distances metres. The numbers are kept as
the instrument showed them; distance is always worked out anew from all of them, so that a reading
put in late, or taken out, is right for all the others.
"""

from advisory.engineering.odometer.agreement import believed, in_order
from advisory.engineering.odometer.instruments import METRES_PER_COUNT, Instrument, Shown
from advisory.engineering.odometer.plausible import FARTHEST, Step, farthest_in, step_between
from advisory.engineering.odometer.questions import (
    Doubt,
    Question,
    question_about,
    questions_about,
)
from advisory.engineering.odometer.trace import Mark, Point, Trace, trace

__all__ = [
    "FARTHEST",
    "METRES_PER_COUNT",
    "Doubt",
    "Instrument",
    "Mark",
    "Point",
    "Question",
    "Shown",
    "Step",
    "Trace",
    "believed",
    "farthest_in",
    "in_order",
    "question_about",
    "questions_about",
    "step_between",
    "trace",
]
