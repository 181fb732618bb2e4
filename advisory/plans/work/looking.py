"""Work that is looking and measuring: pipe, seal, end float, the first look at an unknown unit."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.lubrication.queries import OilInUnit
from advisory.lubrication.words import filling_words
from advisory.plans.computation import Anchor, Limits
from advisory.plans.enums import DueBy
from advisory.plans.work.base import Asked, Facts, Reason, Work
from advisory.plans.work.found import bad_figures
from advisory.plans.work.intervals import measuring, regular, said
from advisory.register.enums import PositionKind, WorkKind

FIRST = WorkKind.FIRST_LOOK
# The work at which the places that wear are measured, or looked at for it.
MEASURED_BY = {
    PositionKind.THRUST_WASHER: WorkKind.END_FLOAT,
    PositionKind.JOURNAL_BEARING: WorkKind.CLEARANCES,
    PositionKind.LIP_SEAL: WorkKind.SEAL_WEEP,
}


def _with_gauge(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [
        _("A dial gauge on a stand, or feeler gauges"),
        _("A lever of wood or brass, never of steel against white metal"),
    ]


def _with_bearing_gauge(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [
        _("Plastic strip gauge of the right range, or bore gauge and micrometer"),
        _("New gaskets and lock washers for what comes apart, clean oil for putting it together"),
    ]


def _with_spanners(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [_("Two spanners that fit the unions"), _("A lamp, a clean dry rag")]


def _with_lamp(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [_("A lamp, a clean dry rag")]


def _first_at_hand(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [
        filling_words(oil, prefs),
        _("Washers for drain and filler plug"),
        _("A clean white tray, a magnet, a lamp, a jar with a lid for a sample"),
        *_with_gauge(oil, prefs),
    ]


def _asks_first_look(facts: Facts, anchor: Anchor) -> Asked:
    reason: Reason = {"code": "history_not_known"}
    return Asked(Limits(on=anchor.date), DueBy.NOT_KNOWN, (reason, *said(facts, FIRST)))


PIPE_CHECK = Work(
    kind=WorkKind.PIPE_CHECK,
    applies=lambda facts: facts.external_pipe,
    asks=lambda facts, anchor: regular(WorkKind.PIPE_CHECK, facts, anchor),
    why=gettext_lazy(
        "The upper bearing lives on what comes through this pipe. One that is squashed to half its"
        " height passes a fraction of the oil, and one that cracks passes none."
    ),
    steps=(
        gettext_lazy("Wipe the pipe and its unions dry along their whole length."),
        gettext_lazy("Feel for flats, kinks and places where it rubs on a bracket or clip."),
        gettext_lazy("Look at soldered joints with a lamp: a hair-line or a dark edge is a crack."),
        gettext_lazy("Nip the unions with two spanners, the second one holding against it."),
        gettext_lazy("Run it for a minute, stop it, and look for fresh oil."),
    ),
    look_for=(
        gettext_lazy("A flat or a kink: don't bend it back, report it and ask."),
        gettext_lazy("A weep that is back after nipping: the cone or the joint is cracked."),
    ),
    cautions=("rotating", "fire", "do_not_force", "no_licence"),
    at_hand=_with_spanners,
    stop_matter=True,
    renewed_by=frozenset({FIRST}),
)

SEAL_WEEP = Work(
    kind=WorkKind.SEAL_WEEP,
    applies=lambda facts: PositionKind.LIP_SEAL in facts.positions,
    asks=lambda facts, anchor: measuring(WorkKind.SEAL_WEEP, PositionKind.LIP_SEAL, facts, anchor),
    why=gettext_lazy(
        "A seal that weeps tells early that its track is worn or its shaft no longer runs true."
    ),
    steps=(
        gettext_lazy("Wipe the seal and what lies below it dry."),
        gettext_lazy("Go for a usual run, then look again: dry, damp, or a drop?"),
        gettext_lazy("Write down what you saw, also when it is dry: the change is what counts."),
    ),
    look_for=(
        gettext_lazy("Damp is to be watched. A drop that falls, or oil flung about: report it."),
        gettext_lazy("Oil on an exhaust pipe or a brake: don't drive until it is mended."),
    ),
    cautions=("rotating", "fire", "jacking", "no_licence"),
    at_hand=_with_lamp,
    renewed_by=frozenset({FIRST}),
)

END_FLOAT = Work(
    kind=WorkKind.END_FLOAT,
    applies=lambda facts: PositionKind.THRUST_WASHER in facts.positions,
    asks=lambda facts, anchor: measuring(
        WorkKind.END_FLOAT, PositionKind.THRUST_WASHER, facts, anchor
    ),
    why=gettext_lazy(
        "The floating washer wears slowly and unseen. Before it is worn through, the shaft moves"
        " far enough for what turns to touch what stands."
    ),
    steps=(
        gettext_lazy("Engine stopped and cold, ignition off, out of gear, wheels chocked."),
        gettext_lazy("Gauge against the end of the shaft, in line with it; set it to nought."),
        gettext_lazy(
            "Lever the shaft gently to one end, then to the other; read the whole travel."
        ),
        gettext_lazy("Three times; take the largest. Write it down with the measurement."),
    ),
    look_for=(
        gettext_lazy(
            "Held against the build record and its limit when you report it. Without a record: new"
            " ones stand at 0.05-0.25 mm (2-10 thou); above 0.30 mm (12 thou) ask, at 0.40 mm"
            " (16 thou) stop. Common practice, no source."
        ),
    ),
    cautions=("rotating", "jacking", "no_licence"),
    at_hand=_with_gauge,
    stop_matter=True,
    renewed_by=frozenset({FIRST}),
)

CLEARANCES = Work(
    kind=WorkKind.CLEARANCES,
    applies=lambda facts: (
        PositionKind.JOURNAL_BEARING in facts.worn
        or next(bad_figures(facts, PositionKind.JOURNAL_BEARING), None) is not None
    ),
    asks=lambda facts, anchor: measuring(
        WorkKind.CLEARANCES, PositionKind.JOURNAL_BEARING, facts, anchor
    ),
    why=gettext_lazy(
        "A bearing that has opened up carries a thinner film and loses more oil. Measured in time"
        " it is a new lining; measured too late it is a new shaft."
    ),
    steps=(
        gettext_lazy("Ask the workshop first whether it wants to do this itself."),
        gettext_lazy("Engine stopped and cold. In the order of dismantling that its design gives."),
        gettext_lazy(
            "Plastic strip gauge across the journal, dry and clean; or bore gauge and micrometer at"
            " the places of the build sheet."
        ),
        gettext_lazy("Don't turn the shaft with the strip in place. Read its widest mark."),
        gettext_lazy("Write each value down with the measurement, also when it is good."),
    ),
    look_for=(
        gettext_lazy("Scores, grey patches, fine cracks, metal wiped to one edge: report them."),
        gettext_lazy("Dust off white metal may hold lead: wipe wet, wash hands, no blowing."),
    ),
    cautions=("rotating", "jacking", "lead", "hot_oil", "do_not_force", "no_licence"),
    at_hand=_with_bearing_gauge,
    stop_matter=True,
    renewed_by=frozenset({FIRST}),
)

FIRST_LOOK = Work(
    kind=FIRST,
    applies=lambda facts: not facts.built and not facts.looked_at,
    asks=_asks_first_look,
    why=gettext_lazy(
        "Nobody has told this service when this unit was last apart, which oil is in it, or how"
        " much it is worn. An evening with it answers most of that, and decides whether it should"
        " run at all."
    ),
    steps=(
        gettext_lazy("Drain it into a clean white tray, cold and slowly. Keep a jar of it."),
        gettext_lazy("Look: water comes first and clear, then sludge. Stir it with the magnet."),
        gettext_lazy("Take out strainer and filter, if there are any. Look what is in them."),
        gettext_lazy("Measure what came out: that, and the level datum, tell what it holds."),
        gettext_lazy(
            "Turn it by hand, all the way round: a tight or gritty place is a reason to ask."
        ),
        gettext_lazy("Measure the end float where there is a thrust washer; feel shafts for play."),
        gettext_lazy("Follow each oil pipe: flats, kinks, cracked joints. Look at the seals."),
        gettext_lazy("Fill with straight oil of the grade that the handbook of its year names."),
        gettext_lazy("Prime it, run it briefly, look for pressure and leaks; note the odometer."),
        gettext_lazy("Then enter here what you found: the oil, what it holds, and any filter."),
    ),
    look_for=(
        gettext_lazy(
            "Bright flakes are white metal, yellow ones bronze, magnetic ones steel: stop."
        ),
        gettext_lazy("Thick sludge: stay with straight oil; a detergent one would set it afloat."),
        gettext_lazy("Milky oil, or water under it: find out where it comes from before it runs."),
    ),
    cautions=(
        "jacking",
        "rotating",
        "fire",
        "lead",
        "used_oil",
        "hot_oil",
        "do_not_force",
        "no_licence",
    ),
    at_hand=_first_at_hand,
    stop_matter=True,
    needs_car=False,
)
