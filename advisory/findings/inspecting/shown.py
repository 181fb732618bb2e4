"""A step of an inspection as it is shown: what to do, with what, which limits, the verdict."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from advisory.common.cautions import CAUTIONS, Caution
from advisory.common.drawing import Gauge
from advisory.common.quantities import Preferences
from advisory.findings.enums import Judgement, StepKind, StepOutcome
from advisory.findings.inspecting.places import (
    INSTRUMENTS,
    PLACE_WORDS,
    PREPARE_CAUTIONS,
    STRAINER_WORDS,
    TAKE_APART_DRAWN,
    Instrument,
    PlaceWords,
)
from advisory.findings.judgement import Because, HeldAgainst, Verdict, judge
from advisory.findings.models import InspectionStep
from advisory.findings.queries import held_against, quantity_at
from advisory.findings.words import InWords, small, verdict_in_words
from advisory.register.drawn import LastMeasured
from advisory.register.enums import MeasuredQuantity, PositionKind
from advisory.register.models import Unit

# As in the calculator of coolants: the margin to the coldest night [K].
FROST_MARGIN = 3.0


def judged(unit: Unit, step: InspectionStep) -> Verdict:
    """Judge what came of a step."""
    quantity = quantity_at(step.position) if step.position else ""
    against = held_against(unit, step.position, quantity) if step.position else HeldAgainst()
    return _verdict(step, quantity, against)


def _verdict(step: InspectionStep, quantity: str, against: HeldAgainst) -> Verdict:
    verdict = judge(step.value, quantity, against, step.mark, step.uncertainty)
    if verdict.because == Because.NO_FIGURE and step.freezes_at is not None:
        if coolant_weak(step):
            return Verdict(Judgement.WATCH, Because.NO_FIGURE)
        if step.coldest is not None:
            return Verdict(Judgement.GOOD, Because.NO_FIGURE)
    return verdict


def coolant_weak(step: InspectionStep) -> bool:
    """Say whether the coolant may freeze in the coldest night."""
    if step.freezes_at is None or step.coldest is None:
        return False
    return step.freezes_at > step.coldest - FROST_MARGIN


@dataclass(frozen=True)
class StepShown:
    """One step for one reader; `last` is what was measured there last."""

    step: InspectionStep
    against: HeldAgainst
    last: LastMeasured | None
    prefs: Preferences

    @property
    def quantity(self) -> str:
        """What is measured in it, "" where nothing is."""
        return quantity_at(self.step.position) if self.step.position else ""

    @property
    def title(self) -> str:
        """What it is about."""
        step = self.step
        if step.kind == StepKind.TAKE_APART:
            return step.text
        return str(step.position or StepKind(step.kind).label)

    @property
    def words(self) -> PlaceWords | None:
        """What is looked at, where something is."""
        if self.step.kind == StepKind.STRAINER:
            return STRAINER_WORDS
        if self.step.position is None:
            return None
        return PLACE_WORDS[PositionKind(self.step.position.kind)]

    @property
    def drawing(self) -> tuple[str, str | Promise]:
        """The symbol of its drawing, and what it shows."""
        if self.instrument is not None:
            return self.instrument.drawing, self.instrument.drawn
        if self.words is not None:
            return self.words.drawing, self.words.drawn
        return TAKE_APART_DRAWN if self.step.kind == StepKind.TAKE_APART else ("", "")

    @property
    def instrument(self) -> Instrument | None:
        """With what its size is taken."""
        return INSTRUMENTS.get(self.quantity)

    @property
    def quantity_words(self) -> str:
        """The name of what is measured."""
        return str(MeasuredQuantity(self.quantity).label) if self.quantity else ""

    @property
    def coolant(self) -> bool:
        """Whether its coolant is read."""
        position = self.step.position
        return position is not None and position.kind == PositionKind.WATER_JACKET

    @property
    def cautions(self) -> Sequence[Caution]:
        """What may hurt in it."""
        if self.step.kind == StepKind.PREPARE:
            keys: tuple[str, ...] = PREPARE_CAUTIONS
        else:
            keys = self.words.cautions if self.words else ()
        return [CAUTIONS[key] for key in keys]

    @property
    def limits(self) -> str:
        """Where it was when built, and where the limits lie, in words."""
        against = self.against
        said = [
            (_("as built %(size)s"), against.as_built),
            (_("ask above %(size)s"), against.look_into_above),
            (_("stop at %(size)s"), against.wear_limit),
        ]
        words = [
            text % {"size": small(size, self.prefs)} for text, size in said if size is not None
        ]
        if against.as_built is None and against.as_built_most is not None:
            words.insert(
                0, _("new up to %(size)s") % {"size": small(against.as_built_most, self.prefs)}
            )
        if self.last is not None:
            words.append(_("measured last %(size)s") % {"size": small(self.last.value, self.prefs)})
        return "; ".join(words) or _("neither a build record nor a limit is known")

    @cached_property
    def gauge(self) -> Gauge | None:
        """From as built to the limit, the pointer at what was measured; None without a limit."""
        built = self.against.as_built
        if built is None:
            built = self.against.as_built_most
        if self.against.wear_limit is None or built is None or not self.quantity:
            return None
        now = self.step.value
        if now is None:
            now = self.last.value if self.last else built
        return Gauge(
            now=now,
            due=self.against.wear_limit,
            done=built,
            done_words=small(built, self.prefs) or "",
            due_words=small(self.against.wear_limit, self.prefs) or "",
            now_words=small(now, self.prefs) or "",
            left_words=self._pointer(),
            soon=self.against.look_into_above is not None and now > self.against.look_into_above,
            done_label=_("As built"),
            due_label=_("Limit: stop"),
            now_label=_("Measured"),
        )

    def _pointer(self) -> str:
        if self.step.value is not None:
            return _("%(size)s measured") % {"size": small(self.step.value, self.prefs)}
        if self.last is not None:
            return _("%(size)s last time") % {"size": small(self.last.value, self.prefs)}
        return ""

    @property
    def answered(self) -> bool:
        """Whether anything came of it."""
        return self.step.outcome != StepOutcome.OPEN

    @property
    def outcome_words(self) -> str:
        """What came of it, in a few words."""
        step = self.step
        said = [str(step.get_outcome_display())]
        if step.mark:
            said = [str(step.get_mark_display())]
        if step.value is not None:
            said.append(small(step.value, self.prefs) or "")
        if step.judgement != Judgement.UNJUDGED:
            said.append(str(step.get_judgement_display()))
        return ": ".join(said)

    @cached_property
    def said(self) -> InWords | None:
        """What is said to it at once; None where there is nothing to say."""
        step = self.step
        if step.freezes_at is not None and not step.mark:
            return self._said_of_coolant()
        if not step.mark and step.value is None:
            return None
        verdict = _verdict(step, self.quantity, self.against)
        return verdict_in_words(verdict, step.value, self.against, self.prefs, step.mark)

    def _said_of_coolant(self) -> InWords:
        if self.step.coldest is None:
            return InWords(
                _("Written down"), _("Nobody said how cold it gets where the car stands."),
                _("Hold it against the coldest night that you expect; leave 3 °C between."),
                stop=False,
            )  # fmt: skip
        if coolant_weak(self.step):
            return InWords(
                str(Judgement.WATCH.label), _("Too weak for such a night."),
                _("Make it stronger before the next frost, or drain it and leave a note."),
                stop=False,
            )  # fmt: skip
        return InWords(
            _("Strong enough"), _("It freezes below such a night, with 3 °C between."),
            _("Look again next autumn: topping up with water weakens it."), stop=False,
        )  # fmt: skip

    @property
    def bad(self) -> bool:
        """Whether it says to ask or to stop."""
        return self.step.judgement in {Judgement.ASK, Judgement.STOP}

    @property
    def holds(self) -> bool:
        """Whether one should read what is said before going on."""
        return self.step.judgement in {Judgement.WATCH, Judgement.ASK, Judgement.STOP}
