"""Causes of what is seen on covers, jackets and fasteners."""

from django.utils.translation import gettext_lazy as _

from advisory.findings.causes import evidence as e
from advisory.findings.causes.rules import CauseRule
from advisory.findings.marks import DamageMark

_STAND = _("Leave it standing and ask the workshop.")
_NO_FORCE = _("Don't tighten it further to stop a weep: leave it standing and ask.")
_DRY = _("Don't run it and don't fill it up: drain water and oil apart, and ask.")
_M = DamageMark

# fmt: off
LINES: tuple[CauseRule, ...] = (
    CauseRule(
        _M.COVER_BOWED, _("Tightened over a thick gasket or to stop a weep"),
        (e.COVER_USED, e.FASTENER_SEEN),
        _("Bowed between the fasteners, not across the whole: it was pulled down too hard."),
        _NO_FORCE),
    CauseRule(
        _M.COVER_BOWED, _("Fasteners of another length or pattern"),
        (e.OTHER_PATTERN, e.INSERTS, e.FASTENER_SEEN),
        _("Take out one at a time, measure its length, and look for the mark of its end."),
        _NO_FORCE),
    CauseRule(
        _M.COVER_BOWED, _("Frozen water pushed it out"),
        (e.COOLANT_WEAK, e.FROST_SEEN, e.LAID_UP),
        _("Only on a cover with water behind it; look for cracks beside it."), _NO_FORCE),
    CauseRule(
        _M.FROST_CRACK, _("Coolant too weak for the winter, or water only"),
        (e.COOLANT_WEAK, e.LAID_UP),
        _("Measure the freezing point of what is left in it."), _DRY),
    CauseRule(
        _M.FROST_CRACK, _("Water stayed in a pocket that did not drain"),
        (e.LAID_UP,),
        _("Probe the drain with a wire: rust and scale close it."), _DRY),
    CauseRule(
        _M.FROST_CRACK, _("An old repair has opened again"),
        (e.COVER_USED,),
        _("Look for plugs, stitching or weld along the line."), _DRY),
    CauseRule(
        _M.FASTENER_WRONG, _("Replaced by what was at hand"),
        (e.OTHER_PATTERN, e.PART_ORIGIN),
        _("Compare length, thread and head with its neighbours and the build sheet."), _STAND),
    CauseRule(
        _M.FASTENER_WRONG, _("The thread was repaired, and takes another one now"),
        (e.INSERTS,),
        _("Look for an insert in the hole; ask the workshop which belongs there."), _STAND),
    CauseRule(
        _M.FASTENER_BROKEN, _("A wrong one: too soft, too long, another thread"),
        (e.OTHER_PATTERN, e.FASTENER_SEEN),
        _("Keep both pieces; bottoming shows as a bright end."), _STAND),
    CauseRule(
        _M.FASTENER_BROKEN, _("Shaken loose, then broken by fatigue"),
        (e.RUN_OUT, e.LINING_SEEN),
        _("Beach marks across a smooth break are fatigue; a necked, rough one was overtightened."),
        _STAND),
    CauseRule(
        _M.FASTENER_BROKEN, _("Overtightened, or forced out of a corroded thread"),
        (e.COVER_SEEN, e.YOUNG_BUILD),
        _("A neck beside the break, or a twisted thread."), _STAND),
    CauseRule(
        _M.HAMMER_MARKS, _("Driven off or on without a puller"),
        (e.YOUNG_BUILD, e.PART_ORIGIN),
        _("At a shaft's end: measure run-out and end float. At a cover: straight edge."),
        _("Feel for play and tight places by hand; where there are any, leave it standing.")),
    CauseRule(
        _M.HAMMER_MARKS, _("A loose part inside has struck it"),
        (e.FASTENER_SEEN, e.THRUST_SEEN),
        _("Turn it by hand and listen; look what is missing."), _STAND),
    CauseRule(
        _M.WATER_IN_OIL, _("Coolant comes through a crack"),
        (e.FROST_SEEN, e.COOLANT_WEAK, e.COVER_USED),
        _("Does the radiator lose water? Sweet smell or colour in the water below the oil?"), _DRY),
    CauseRule(
        _M.WATER_IN_OIL, _("Condensed: short runs, long rest"),
        (e.SHORT_RUNS, e.LAID_UP, e.CHANGE_LATE),
        _("Clear water, and the radiator stays full: let it settle in a jar for a night."), _DRY),
    CauseRule(
        _M.WATER_IN_OIL, _("Rain or washing through breather, filler or a weeping cover"),
        (e.BREATHER_OPEN, e.COVER_SEEN),
        _("After rain or washing only? Look for a trail of rust below an opening."), _DRY),
)
# fmt: on
