"""Causes of what lies in a strainer."""

from django.utils.translation import gettext_lazy as _

from advisory.findings.causes import evidence as e
from advisory.findings.causes.rules import CauseRule
from advisory.findings.marks import DamageMark

_NO_RUN = _("Don't run it, not even briefly; keep the flakes in a jar and ask the workshop.")
_M = DamageMark

# fmt: off
LINES: tuple[CauseRule, ...] = (
    CauseRule(
        _M.FLAKES_WHITE, _("A white-metal lining breaks up"),
        (e.FILM_THIN, e.WORN, e.LINING_SEEN),
        _("Measure each running clearance; a lining that breaks up opens quickly."), _NO_RUN),
    CauseRule(
        _M.FLAKES_WHITE, _("A bearing was wiped for want of oil"),
        (e.PIPE_SHORT, e.PIPE_SEEN, e.SLOW_COLD),
        _("Smeared flakes are wiped metal, crisp ones with flat backs are broken lining."),
        _NO_RUN),
    CauseRule(
        _M.FLAKES_WHITE, _("Loose scraps from the last rebuild"),
        (e.YOUNG_BUILD,),
        _("Curled like turnings, and only once: clean it, show them, look again."), _NO_RUN),
    CauseRule(
        _M.FLAKES_YELLOW, _("A thrust washer or bush wears"),
        (e.THRUST_SEEN, e.WORN, e.NO_FILTER),
        _("Measure the end float, and the play of each bush."), _NO_RUN),
    CauseRule(
        _M.FLAKES_YELLOW, _("The oil eats bronze"),
        (e.SULPHUR,),
        _("Which oil is in it? Bronze that was eaten is dark and pitted all over."), _NO_RUN),
    CauseRule(
        _M.FLAKES_MAGNETIC, _("Gears or splines wear or chip"),
        (e.FILM_THIN, e.CHANGE_LATE, e.NO_FILTER),
        _("Needles are wear, chips with a grain are a broken tooth: turn it and look."), _NO_RUN),
    CauseRule(
        _M.FLAKES_MAGNETIC, _("Rust scale from water in the oil or a long rest"),
        (e.WATER_SEEN, e.LAID_UP),
        _("Brown and brittle on a white rag is rust, grey is steel."), _NO_RUN),
    CauseRule(
        _M.FLAKES_MAGNETIC, _("A fastener or lock washer came apart"),
        (e.FASTENER_SEEN, e.OTHER_PATTERN),
        _("Pieces with a thread or a bend: count what is missing."), _NO_RUN),
    CauseRule(
        _M.FLAKES_BLACK, _("Old sludge set afloat"),
        (e.DETERGENT, e.CHANGE_LATE),
        _("Crumbles to grease between the fingers; what lies on the sump's floor?"),
        _("Drain and clean the strainer; it may close it again, so ask before a longer run.")),
    CauseRule(
        _M.FLAKES_BLACK, _("Carbon: the oil was cooked or too old"),
        (e.CHANGE_LATE, e.SHORT_RUNS),
        _("Hard, gritty, glitters: carbon. Does it get hotter than it did?"),
        _("Drain and clean the strainer, and ask before it runs again.")),
    CauseRule(
        _M.FLAKES_BLACK, _("Sealing compound from a joint"),
        (e.YOUNG_BUILD,),
        _("Stretches like rubber: sealing. It closes small oil ways."),
        _("Clean the strainer, and ask before it runs again.")),
)
# fmt: on
