"""Single pieces of evidence: what one part of a unit's record says for or against a cause.

Each says nothing where nothing is known: not known is no evidence. The figures at which a piece
begins to speak are common practice, no source, where no other source stands beside them.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, in_words, number_in_words
from advisory.findings.causes.record import UnitRecord
from advisory.findings.marks import DamageMark
from advisory.lubrication.enums import Filtration
from advisory.register.enums import Roads

# A rebuild is young within this; the usual running-in of white metal, a thousand miles.
YOUNG = 1609.344e3
# From here on a clearance is worn rather than new (half of the way is where one looks into it).
WORN_SHARE = 0.75
# Freezing point against the coldest night: the margin of the coolant calculator [K].
FROST_MARGIN = 3.0
MOSTLY_SHORT = 0.5


@dataclass(frozen=True)
class Said:
    """What a piece of evidence says: for the cause or against it, and in words."""

    supports: bool
    words: str


@dataclass(frozen=True)
class Evidence:
    """A part of the record that can speak; `name` is what a workshop chooses it by."""

    key: str
    name: Promise
    says: Callable[[UnitRecord, Preferences], Said | None]


def _either(known: bool | None, yes: Promise, no: Promise | None) -> Said | None:
    if known is None or (not known and no is None):
        return None
    return Said(known, str(yes if known else no))


def _filter(record: UnitRecord, prefs: Preferences) -> Said | None:
    return {
        Filtration.NONE: Said(True, _("It has no filter.")),
        Filtration.STRAINER: Said(True, _("A strainer only: it lets through what scores a film.")),
        Filtration.BYPASS: Said(False, _("It has a bypass filter.")),
        Filtration.FULL_FLOW: Said(False, _("It has a full-flow filter.")),
    }.get(Filtration(record.filtration or Filtration.UNKNOWN))


def _change(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.change_over is not None and record.change_over > 0:
        over = in_words(record.change_over, "distance", prefs)
        return Said(True, _("The oil change was overdue by %(distance)s.") % {"distance": over})
    if record.months_over is not None and record.months_over > 0:
        words = _("The oil change was overdue by %(months)d months.")
        return Said(True, words % {"months": record.months_over})
    if record.change_logged is False:
        return Said(True, _("No oil change was ever written down."))
    if record.change_over is None and record.months_over is None:
        return None
    return Said(False, _("The oil was changed in time."))


def _pipe(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.pipe_share is None:
        return None
    share = number_in_words(100 * record.pipe_share, -1 if record.pipe_share >= 1 else 0)
    if record.pipe_share < 1:
        words = _(
            "Computed, a round feed pipe passes %(share)s %% of what the bearings lose, warm."
        )
    else:
        words = _("Computed, a round feed pipe passes %(share)s %% of what they lose: enough.")
    return Said(record.pipe_share < 1, words % {"share": share})


def _film(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.film_holds is None:
        return None
    if record.film_ratio is None:
        return Said(not record.film_holds, _("Computed, no film carries it on a hot run."))
    words = (
        _("Computed, the film is enough on a hot run: film ratio %(ratio)s.")
        if record.film_holds
        else _("Computed, the film is thin at the clearance as known: film ratio %(ratio)s, hot.")
    )
    return Said(not record.film_holds, words % {"ratio": number_in_words(record.film_ratio, 1)})


def _young(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.since_build is None:
        return None
    way = in_words(record.since_build, "distance", prefs)
    words = _("It has run %(distance)s since its rebuild.") % {"distance": way}
    return Said(record.since_build < YOUNG, words)


def _worn(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.past_limit:
        return Said(True, _("What was measured there is at or past its limit."))
    if record.clearance_share is None:
        return None
    share = number_in_words(100 * record.clearance_share, 0)
    words = _("The clearance measured there is %(share)s %% of its limit.") % {"share": share}
    return Said(record.clearance_share >= WORN_SHARE, words)


def _coolant(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.coolant_freezes_at is not None and record.coldest is not None:
        weak = record.coolant_freezes_at > record.coldest - FROST_MARGIN
        words = _("Its coolant freezes at %(freezes)s; the coldest night was %(coldest)s.") % {
            "freezes": in_words(record.coolant_freezes_at, "temperature", prefs),
            "coldest": in_words(record.coldest, "temperature", prefs),
        }
        return Said(weak, words)
    return _either(
        None if record.coolant_checked is None else not record.coolant_checked,
        gettext_lazy("Nobody wrote down that its coolant was looked at before last winter."),
        gettext_lazy("Its coolant was looked at before last winter."),
    )


def _seen(*marks: DamageMark) -> Callable[[UnitRecord, Preferences], Said | None]:
    def says(record: UnitRecord, prefs: Preferences) -> Said | None:
        seen = [str(mark.label) for mark in marks if mark in record.other_marks]
        words = _("Seen on it as well: %(marks)s.") % {"marks": ", ".join(seen)}
        return Said(True, words) if seen else None

    return says


def _origin(record: UnitRecord, prefs: Preferences) -> Said | None:
    return {
        "donor": Said(True, _("The part there came from a donor unit.")),
        "remade": Said(True, _("The part there was made new.")),
        "original": Said(False, _("The part there is the original one.")),
    }.get(record.part_origin or "")


def _cover(record: UnitRecord, prefs: Preferences) -> Said | None:
    return {
        "reused": Said(True, _("It was used again at the rebuild.")),
        "repaired": Said(True, _("It had cracked before, and was repaired and used again.")),
        "new": Said(False, _("It was new at the rebuild.")),
    }.get(record.cover or "")


def _roads(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.roads is None:
        return None
    dusty = record.roads != Roads.SEALED
    return Said(dusty, _("Driven on unmade roads.") if dusty else _("Driven on sealed roads."))


def _short(record: UnitRecord, prefs: Preferences) -> Said | None:
    if record.short_run_share is None:
        return None
    mostly = record.short_run_share >= MOSTLY_SHORT
    return Said(mostly, _("Mostly short runs.") if mostly else _("Few short runs."))


def _of(
    attribute: str, yes: Promise, no: Promise | None = None
) -> Callable[[UnitRecord, Preferences], Said | None]:
    return lambda record, prefs: _either(getattr(record, attribute), yes, no)


_T, _M = gettext_lazy, DamageMark

# fmt: off
NO_FILTER = Evidence("no_filter", _T("No filter"), _filter)
CHANGE_LATE = Evidence("change_late", _T("Oil change overdue"), _change)
PIPE_SHORT = Evidence("pipe_short", _T("Feed pipe passes too little"), _pipe)
SLOW_COLD = Evidence("slow_cold", _T("Oil does not arrive cold"), lambda record, prefs: _either(
    None if record.arrives_cold is None else not record.arrives_cold,
    _T("Computed, the oil in it is too thick to arrive on a cold start."),
    _T("Computed, the oil in it arrives on a cold start.")))
FILM_THIN = Evidence("film_thin", _T("Film too thin"), _film)
YOUNG_BUILD = Evidence("young_build", _T("Rebuilt lately"), _young)
WORN = Evidence("worn", _T("Clearance near its limit"), _worn)
COOLANT_WEAK = Evidence("coolant_weak", _T("Coolant too weak"), _coolant)
BREATHER_OPEN = Evidence("breather_open", _T("Breather without a filter"), lambda record, prefs: (
    _either(None if record.breather_filtered is None else not record.breather_filtered,
            _T("Its breather has no filter."), _T("Its breather is filtered."))))
DUSTY = Evidence("dusty", _T("Unmade roads"), _roads)
SHORT_RUNS = Evidence("short_runs", _T("Mostly short runs"), _short)
LAID_UP = Evidence("laid_up", _T("Laid up lately"), _of(
    "laid_up", _T("It was laid up within the year before."), _T("It was not laid up.")))
OTHER_PATTERN = Evidence("other_pattern", _T("Fasteners of another pattern"), _of(
    "fasteners_other_pattern",
    _T("The build sheet says: fasteners replaced by another pattern."),
    _T("The build sheet says: fasteners of the right pattern.")))
INSERTS = Evidence("inserts", _T("Thread inserts"), _of(
    "thread_inserts", _T("It has thread inserts there."), None))
PART_ORIGIN = Evidence("part_origin", _T("Part made new or from a donor"), _origin)
COVER_USED = Evidence("cover_used", _T("Cover or jacket used again"), _cover)
RUN_OUT = Evidence("run_out", _T("Run-out above its limit"), _of(
    "run_out_over", _T("Its build sheet has a run-out above the limit."),
    _T("Its run-out was within the limit when built.")))
DETERGENT = Evidence("detergent", _T("Detergent oil"), _of(
    "detergent", _T("The oil in it is a detergent one: it sets old sludge afloat."),
    _T("The oil in it is a straight one.")))
SULPHUR = Evidence("sulphur", _T("Active sulphur in the oil"), _of(
    "active_sulphur", _T("The oil in it has active sulphur, which eats bronze."),
    _T("The oil in it has no active sulphur.")))
WATER_SEEN = Evidence("water_seen", _T("Water seen in the oil"), _seen(_M.WATER_IN_OIL))
FROST_SEEN = Evidence("frost_seen", _T("Frost crack seen"), _seen(_M.FROST_CRACK))
GRIT_SEEN = Evidence("grit_seen", _T("Grit or scores seen"),
                     _seen(_M.EMBEDDED_GRIT, _M.DRY_SCORING))
PIPE_SEEN = Evidence("pipe_seen", _T("Pipe found crushed or chafed"),
                     _seen(_M.PIPE_CRUSHED, _M.PIPE_CHAFED))
LINING_SEEN = Evidence("lining_seen", _T("Lining found damaged"),
                       _seen(_M.FATIGUE_CRACKS, _M.WIPED_METAL, _M.DRY_SCORING))
THRUST_SEEN = Evidence("thrust_seen", _T("Groove at the thrust face seen"), _seen(_M.THRUST_GROOVE))
BLOWS_SEEN = Evidence("blows_seen", _T("Hammer marks seen"), _seen(_M.HAMMER_MARKS))
COVER_SEEN = Evidence("cover_seen", _T("Cover found bowed"), _seen(_M.COVER_BOWED))
FASTENER_SEEN = Evidence("fastener_seen", _T("Wrong or broken fastener seen"),
                         _seen(_M.FASTENER_WRONG, _M.FASTENER_BROKEN))
# fmt: on

EVIDENCE: dict[str, Evidence] = {
    piece.key: piece for piece in list(globals().values()) if isinstance(piece, Evidence)
}
