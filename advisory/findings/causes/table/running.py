"""Causes of what is seen where something runs: bearings, thrust faces, seal tracks, pipes."""

from django.utils.translation import gettext_lazy as _

from advisory.findings.causes import evidence as e
from advisory.findings.causes.rules import CauseRule
from advisory.findings.marks import DamageMark

_STAND = _("Leave it standing and ask the workshop.")
_NO_RUN = _("Don't run it before the workshop has answered; keep what came out of it.")
_M = DamageMark

# fmt: off
LINES: tuple[CauseRule, ...] = (
    CauseRule(
        _M.THRUST_GROOVE, _("Oil reaches the thrust face too late or too little"),
        (e.PIPE_SHORT, e.SLOW_COLD, e.PIPE_SEEN),
        _("Look whether its oil groove is open, and follow the pipe that feeds it."), _STAND),
    CauseRule(
        _M.THRUST_GROOVE, _("Dirt between washer and face"),
        (e.NO_FILTER, e.CHANGE_LATE, e.GRIT_SEEN),
        _("Wipe the washer clean: specks sit in the softer of the two faces."), _STAND),
    CauseRule(
        _M.THRUST_GROOVE, _("A coupling or drive presses on the shaft all the time"),
        (e.YOUNG_BUILD, e.PART_ORIGIN),
        _("Uncouple it: does the shaft float freely then? Compare both thrust faces."), _STAND),
    CauseRule(
        _M.DRY_SCORING, _("It ran without oil for a moment: first start, long rest, cold start"),
        (e.SLOW_COLD, e.LAID_UP, e.YOUNG_BUILD),
        _("Was it primed? Scores at the loaded side only, and blued, speak for it."), _NO_RUN),
    CauseRule(
        _M.DRY_SCORING, _("Too little oil comes through the pipe"),
        (e.PIPE_SHORT, e.PIPE_SEEN),
        _("Feel the pipe for flats; let oil run through it into a jar and time it."), _NO_RUN),
    CauseRule(
        _M.DRY_SCORING, _("Dirt in the oil"),
        (e.NO_FILTER, e.CHANGE_LATE, e.DUSTY, e.GRIT_SEEN),
        _("Single deep scratches with specks at their ends are dirt, a broad dull band is not."),
        _NO_RUN),
    CauseRule(
        _M.EMBEDDED_GRIT, _("Dirt in the oil: no filter, or changed too late"),
        (e.NO_FILTER, e.CHANGE_LATE),
        _("Look in sump and strainer; keep a jar of the oil and let it settle."),
        _("Drain, wipe out the sump, and ask before it runs again."), ),
    CauseRule(
        _M.EMBEDDED_GRIT, _("Dust through the breather or an open filler"),
        (e.BREATHER_OPEN, e.DUSTY),
        _("Look for dust inside the breather; fine and grey is road dust."),
        _("Close the way in, drain, and ask before it runs again.")),
    CauseRule(
        _M.EMBEDDED_GRIT, _("Left in it at the rebuild: blasting grit, grinding dust"),
        (e.YOUNG_BUILD, e.COVER_USED),
        _("Under a lens sharp and glassy is blasting grit, round is sand."),
        _("Drain, and ask before it runs again.")),
    CauseRule(
        _M.FATIGUE_CRACKS, _("Overload: the film is thin, the load beats on the lining"),
        (e.FILM_THIN, e.WORN),
        _("Cracks at the loaded side only; compare the clearance with the build sheet."), _NO_RUN),
    CauseRule(
        _M.FATIGUE_CRACKS, _("The lining does not hold to its shell"),
        (e.YOUNG_BUILD, e.PART_ORIGIN),
        _("Tap it: a dull sound, or oil that creeps out beside the lining, is a loose bond."),
        _NO_RUN),
    CauseRule(
        _M.FATIGUE_CRACKS, _("The shaft whips: it runs out of true"),
        (e.RUN_OUT,),
        _("Dial gauge on the journal, turned by hand, once round."), _NO_RUN),
    CauseRule(
        _M.WIPED_METAL, _("It ran hot for want of oil"),
        (e.PIPE_SHORT, e.PIPE_SEEN, e.SLOW_COLD),
        _("Look at level, pipe, strainer and pump before anything is cleaned."), _NO_RUN),
    CauseRule(
        _M.WIPED_METAL, _("The film was too thin: oil too thin, clearance too large"),
        (e.FILM_THIN, e.WORN),
        _("Measure the clearance; say which oil is in it and how hot it gets."), _NO_RUN),
    CauseRule(
        _M.WIPED_METAL, _("The clearance was too small, or the bore out of line"),
        (e.YOUNG_BUILD, e.PART_ORIGIN, e.RUN_OUT),
        _("Wiped at opposite ends of two bearings is a bore out of line."), _NO_RUN),
    CauseRule(
        _M.TRACK_WORN, _("Dirt under the lip"),
        (e.NO_FILTER, e.DUSTY, e.CHANGE_LATE),
        _("Wipe the lip and look at the rag: grit or dried sludge."),
        _("Wipe it dry, look again after each run; a drop that falls: stop and ask.")),
    CauseRule(
        _M.TRACK_WORN, _("The shaft runs out of true and hammers on the lip"),
        (e.RUN_OUT, e.WORN),
        _("Dial gauge on the track, turned by hand, once round."),
        _("Look again after each run; a drop that falls: stop and ask.")),
    CauseRule(
        _M.TRACK_WORN, _("A soft or rough track: part made new, or a sleeve"),
        (e.PART_ORIGIN, e.YOUNG_BUILD),
        _("Ask for the track's hardness and roughness on the build sheet."),
        _("Look again after each run; a drop that falls: stop and ask.")),
    CauseRule(
        _M.PIPE_CRUSHED, _("Squashed when something else was fitted or lifted"),
        (e.YOUNG_BUILD, e.BLOWS_SEEN),
        _("Look for the print of a jack, strap, spanner or bracket beside the flat."), _NO_RUN),
    CauseRule(
        _M.PIPE_CRUSHED, _("Bent by hand instead of in a former"),
        (e.PART_ORIGIN,),
        _("A flat on the inside of a bend is bending, elsewhere it is a blow."), _NO_RUN),
    CauseRule(
        _M.PIPE_CHAFED, _("A clip is missing or loose, and the pipe shakes"),
        (e.FASTENER_SEEN, e.YOUNG_BUILD),
        _("Move it by hand: every clip has to hold it, and none pull it."), _STAND),
    CauseRule(
        _M.PIPE_CHAFED, _("The pipe is not the shape it was"),
        (e.PART_ORIGIN, e.PIPE_SEEN),
        _("Undo its clips: it should lie in them by itself."), _STAND),
)
# fmt: on
