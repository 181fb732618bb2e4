"""The answer of an oil choice in words, and the prescribed oil above it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences
from advisory.lubrication.adapters.engineering import FilmVerdict, State
from advisory.lubrication.adapters.interval import GEARED
from advisory.lubrication.choice.judging import Chosen
from advisory.lubrication.choice.warnings import bronze_at, state_now
from advisory.lubrication.choice.words import (
    STATE_WORDS,
    cold_reason,
    hot_reason,
    other_words,
    span_words,
)
from advisory.lubrication.film_words import (
    celsius_words,
)
from advisory.lubrication.models import Lubricant


@dataclass(frozen=True)
class Named:
    """The prescribed oil, or the one in the unit, with what the computation says of it.

    `agrees` is None where nothing can be computed; `reasons` say why it doesn't.
    """

    name: str
    agrees: bool | None
    reasons: Sequence[str]


@dataclass(frozen=True)
class StateShown:
    """One running clearance: which oils hold with it."""

    name: str
    window: str
    others: Sequence[str]


class ChoiceAnswer:
    """The answer in words, worked out as the template asks for it."""

    def __init__(self, chosen: Chosen, prefs: Preferences) -> None:
        self.chosen, self.prefs = chosen, prefs
        self.choice = chosen.choice
        self.names = dict(chosen.case.names)
        self.geared = chosen.ground.design.kind in GEARED
        self.state = state_now(chosen)
        self.states: list[State] = list(self.choice.states)

    # The head of the page: the prescribed oil stands above the computed ones ---------------------

    @property
    def headline(self) -> str:
        """What to fill: the prescribed oil where there is one, else what is computed."""
        named = self.prescribed
        if named is None:
            return self.answer
        return _("%(oil)s, as the workshop prescribes") % {"oil": named.name}

    @property
    def beside_it(self) -> str:
        """What the computation says to the headline."""
        named = self.prescribed
        if named is None:
            return self.basis
        if named.agrees is None:
            return _("Nothing can be computed for it.")
        if named.agrees:
            return _(
                "The computation agrees: with it the film holds hot, and nothing that is known "
                "keeps it from arriving cold."
            )
        return _(
            "The computation does not agree. Both stand here for you to show: ask the workshop "
            "before you fill anything else. It may know of loads, speeds or a finish that the "
            "record does not."
        )

    # The answer ----------------------------------------------------------------------------------

    @property
    def can_be_said(self) -> bool:
        """Whether there is a bearing to judge an oil by today."""
        return self.state is not None and bool(self.choice.case.oils)

    def window(self, *states: State) -> set[str]:
        """Return the generic oils that hold with all of these clearances, none that eats bronze."""
        rows = [self.states.index(state) for state in states]
        held = np.logical_and.reduce([self.choice.window[row] for row in rows])
        bronze = bool(bronze_at(self.chosen))
        return {
            oil.key
            for oil, holds in zip(self.choice.case.oils, held, strict=True)
            if holds and not (bronze and self.chosen.lubricants[oil.key].active_sulphur)
        }

    @property
    def answer(self) -> str:
        """The answer in one line; a guess where no size of it was ever measured."""
        if self.can_be_said and self.chosen.ground.only_typical:
            return _("A guess: %(answer)s") % {"answer": self._answer()}
        return self._answer()

    def _answer(self) -> str:
        if self.state is None or not self.can_be_said:
            return _("Not to be said yet: too little is known of its bearings")
        now = span_words(self.window(self.state), geared=self.geared)
        if not now:
            return self._no_window()
        if "limit" not in self.states:
            return now
        lasting = span_words(self.window(self.state, "limit"), geared=self.geared)
        if not lasting:
            return _("%(oils)s today; worn to its limit, none of them") % {"oils": now}
        return lasting

    def _no_window(self) -> str:
        row = self.today
        if FilmVerdict(int(self.choice.best[row])).no_film:
            return _("None: no oil carries it at this clearance")
        if self.choice.holds_hot[row].any():
            return _("None does both: what holds hot does not arrive cold")
        return _("None: no oil gives film enough on a hot day")

    @property
    def today(self) -> int:
        """The place of today's running clearance among the choice's."""
        assert self.state is not None
        return self.states.index(self.state)

    @property
    def today_too(self) -> str:
        """What holds with today's clearance, where less does at the wear limit."""
        if self.state is None or not self.can_be_said or "limit" not in self.states:
            return ""
        now = span_words(self.window(self.state), geared=self.geared)
        lasting = span_words(self.window(self.state, "limit"), geared=self.geared)
        if not lasting:
            return ""
        if lasting == now:
            return _("It holds with the running clearance %(state)s and at the wear limit.") % {
                "state": STATE_WORDS[self.state]
            }
        return _(
            "That holds up to the wear limit; with the running clearance %(state)s, %(oils)s would "
            "do."
        ) % {"state": STATE_WORDS[self.state], "oils": now}

    @property
    def basis(self) -> str:
        """What the answer means."""
        case = self.choice.case
        at = {
            "hot": celsius_words(case.hot_c, self.prefs),
            "cold": celsius_words(case.cold_c, self.prefs),
        }
        if not self.can_be_said:
            return _("Only the cold end can be looked at, at %(cold)s.") % at
        said = (
            _(
                "Film enough on a hard run on a hot day, with the oil at %(hot)s, and oil that "
                "arrives on a cold start, at %(cold)s."
            )
            % at
        )
        return " ".join(part for part in (said, self.today_too, self.how_much_known) if part)

    @property
    def how_much_known(self) -> str:
        """What the answer leaves out, and what it is only a guess for."""
        parts = []
        counted, there = len(self.choice.case.bearings), len(self.chosen.ground.bearings)
        if counted < there:
            parts.append(
                _("Only %(counted)d of its %(there)d bearings are known well enough to count.")
                % {"counted": counted, "there": there}
            )
        if self.chosen.ground.only_typical:
            parts.append(
                _(
                    "Its sizes, speeds and loads are typical of its kind, for nobody has measured "
                    "it: ask the workshop, or go by the handbook of its year."
                )
            )
        return " ".join(parts)

    @property
    def clearances(self) -> list[StateShown]:
        """The window with each running clearance."""
        shown = []
        for state in self.states:
            keys = self.window(state)
            shown.append(
                StateShown(
                    str(STATE_WORDS[state]).capitalize(),
                    span_words(keys, geared=self.geared) or _("none"),
                    other_words(keys, geared=self.geared),
                )
            )
        return shown

    # What the workshop prescribes ----------------------------------------------------------------

    @property
    def prescribed(self) -> Named | None:
        """The oil that the design prescribes."""
        oil = self.chosen.ground.oil.prescribed
        if oil is not None:
            return self.named(oil)
        code = self.chosen.ground.design.lubricant_code
        return Named(code, None, []) if code else None

    @property
    def in_use(self) -> Named | None:
        """The oil in it, where it is not the prescribed one."""
        oil = self.chosen.ground.oil
        if oil.lubricant is None or oil.lubricant == oil.prescribed:
            return None
        return self.named(oil.lubricant)

    def named(self, oil: Lubricant) -> Named:
        """Return what the computation says of one oil."""
        place = self.place_of(oil)
        if place is None or self.state is None:
            return Named(oil.name, None, [])
        states = [state for state in (self.state, "limit") if state in self.states]
        reasons = [
            hot_reason(self.choice, self.states.index(state), place, self.names, self.prefs)
            for state in states
        ]
        reasons.append(cold_reason(self.choice, place, self.prefs))
        reasons = [reason for reason in reasons if reason]
        return Named(oil.name, not reasons, reasons)

    def place_of(self, oil: Lubricant) -> int | None:
        """Return the place of an oil in the choice; None where it can't be computed."""
        rows = self.chosen.lubricants
        for place, each in enumerate(self.choice.case.oils):
            if rows[each.key].pk == oil.pk:
                return place
        return None
