"""What a kind of work is, and what it may ask about a unit before it answers.

To add one: give it a name in `register.enums.WorkKind`, declare it in a file beside this one, and
list it in `work/__init__.py`. Everything else (plan, pages, reminders, calendar) follows.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, NamedTuple

from django.utils.functional import Promise

from advisory.common.quantities import Preferences
from advisory.lubrication.adapters import IntervalAdvice
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.queries import OilInUnit
from advisory.plans.computation import USUAL_LEAD, Anchor, Limits
from advisory.plans.enums import DueBy
from advisory.register.enums import PositionKind, Season, UnitKind, WorkKind

Words = str | Promise
# A reason as it is kept: a code and figures in SI; plans/words.py turns it into a sentence.
Reason = dict[str, Any]


@dataclass(frozen=True)
class Instruction:
    """What the workshop says of one kind of work; metres, seconds of running, months."""

    workshop: str
    distance: float | None
    months: int | None
    text: str
    running_time: float | None = None
    season: Season | None = None
    needs: str = ""

    @property
    def sets_interval(self) -> bool:
        """Whether it says when, and not only what."""
        return bool(self.distance or self.months or self.running_time or self.season)


@dataclass(frozen=True)
class WornPlace:
    """A place that wears toward its limit: where it was measured, and is to be measured next.

    Distances are the unit's own, in metres. `contradicts`: what was measured contradicts itself, so
    that it is to be measured again at once.
    """

    name: str
    measured_at: float
    look_at: float
    contradicts: bool = False


@dataclass(frozen=True)
class Matter:
    """What an open finding wants of a plan, and since when.

    A figure (as it was typed) or a mark with its judgement, an instruction of the workshop, or work
    that was agreed; `kind` is the place's.
    """

    since: date
    workshop: str = ""
    place: str = ""
    kind: PositionKind | None = None
    judgement: str = ""
    figure: str = ""
    mark: str = ""
    instruction: str = ""
    agreed: bool = False


@dataclass(frozen=True)
class AskedByBulletin:
    """What a bulletin asks of a unit; `row` is the key of its row for this unit."""

    row: int
    bulletin: int
    who: str
    title: str
    what: str
    sent_on: date
    until: date | None
    before_it_runs: bool

    @property
    def due_on(self) -> date:
        """The day by which it is to be done: at once where it is not to run before."""
        if self.before_it_runs or self.until is None:
            return self.sent_on
        return self.until


@dataclass(frozen=True)
class Facts:
    """What is known of a unit on a day, as far as any kind of work asks for it.

    `lay_up` is the day from which its car is, or is announced to be, laid up, `back_on` the day on
    which it is announced to be back, and `laid_up_last` the day on which that began last;
    `rests_in_winter` says that it is known, or must be taken, to be laid up each winter.
    `season_ahead` is how far the seasons where its owner lives are ahead of northern ones. `built`
    says that a signed build stands behind it; `looked_at`, that a first look was taken;
    `counts_hours`, that its hour counter tells how long it runs. `worn` are by kind the places
    whose wear tells when to measure them, the first first; `matters` are what open findings want,
    `bulletins` what bulletins still ask, the most pressing first.
    """

    kind: UnitKind
    today: date
    oil: OilInUnit
    advice: IntervalAdvice
    positions: frozenset[PositionKind] = frozenset()
    in_car: bool = True
    lay_up: date | None = None
    back_on: date | None = None
    laid_up: bool = False
    laid_up_last: date | None = None
    rests_in_winter: bool = True
    season_ahead: timedelta = timedelta(0)
    built: bool = False
    looked_at: bool = False
    counts_hours: bool = False
    instructions: Mapping[WorkKind, Instruction] = field(default_factory=dict)
    worn: Mapping[PositionKind, Sequence[WornPlace]] = field(default_factory=dict)
    matters: tuple[Matter, ...] = ()
    bulletins: tuple[AskedByBulletin, ...] = ()

    @property
    def geared(self) -> bool:
        """Whether its oil sees no combustion, and so no acid."""
        return self.kind in {UnitKind.GEARBOX, UnitKind.FINAL_DRIVE}

    @property
    def external_pipe(self) -> bool:
        """Whether oil comes by an external pipe, as far as design or arrangement say."""
        arrangement = self.oil.arrangement
        return PositionKind.FEED_PIPE in self.positions or (
            arrangement is not None and arrangement.feed_pipe_bore is not None
        )


class Asked(NamedTuple):
    """What a kind of work asks for: its limits, which of them is named as setting it, and why.

    `before_first_run` says that it is wanted before a car that is laid up runs again, and so does
    not rest with it.
    """

    limits: Limits
    by: DueBy
    reasons: tuple[Reason, ...] = ()
    before_first_run: bool = False


def _nothing(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return []


@dataclass(frozen=True)
class Work:
    """One kind of work: when it is needed, how often, why, with what, and how not to get hurt.

    Parameters
    ----------
    kind
        Its name.
    applies
        Whether a unit needs it at all.
    asks
        Its limits, counted from when it was last done.
    why
        One or two sentences: what goes wrong without it.
    steps
        What to do, in order; the maker's handbook and the workshop stand above them.
    cautions
        Keys into `plans.cautions.CAUTIONS`.
    at_hand
        What to have at hand, in the reader's units.
    look_for
        What to look for, and what it means.
    lead
        How long before it is due it is brought to the owner's notice.
    oil_service
        The oil service that it is, if it is one.
    closed_by_service
        Whether such a service, however entered, counts as this work done.
    renewed_by
        Other work that includes it.
    renewed_by_oil_change
        Whether an oil change does it as well.
    renewed_by_build
        Whether a rebuild counts as having it done.
    lapses
        From the day on which it was due to the day on which there is no more point in it, for work
        of a season: then the next season counts.
    rests_laid_up
        Whether it rests while the car is laid up.
    needs_car
        Whether it rests while the unit is in no car.
    stop_matter
        Whether leaving it past its day may cost the unit at once, and not merely wear it quicker.
    """

    kind: WorkKind
    applies: Callable[[Facts], bool]
    asks: Callable[[Facts, Anchor], Asked]
    why: Words
    steps: tuple[Words, ...]
    cautions: tuple[str, ...]
    at_hand: Callable[[OilInUnit, Preferences], list[str]] = _nothing
    look_for: tuple[Words, ...] = ()
    lead: timedelta = USUAL_LEAD
    oil_service: ServiceKind | None = None
    closed_by_service: bool = False
    renewed_by: frozenset[WorkKind] = frozenset()
    renewed_by_oil_change: bool = False
    renewed_by_build: bool = True
    lapses: Callable[[date, Facts], date] | None = None
    rests_laid_up: bool = True
    needs_car: bool = True
    stop_matter: bool = False
