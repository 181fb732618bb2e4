"""What the workshop says of a design's maintenance, and in what order it comes apart.

Both hold at once for every unit of the design, also those built before: a caution that came too
late for a version helps nobody.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.actions.positions import require_number
from advisory.register.enums import Season, WorkKind
from advisory.register.models import Design, DismantlingStep, MaintenanceInstruction
from advisory.register.signals import instructions_changed

LONGEST_WORDS, LONGEST_STEP = 300, 400
MOST_STEPS = 60
MOST_HOURS = 20_000 * 3600.0  # s


@dataclass(frozen=True, kw_only=True)
class StepData:
    """One step of taking a unit apart."""

    text: str
    otherwise: str = ""
    caution: str = ""


@transaction.atomic
def set_instruction(
    *,
    design: Design,
    work: str,
    by: Person,
    distance: float | None = None,
    hours: float | None = None,
    months: int | None = None,
    season: str = "",
    text: str = "",
    needs: str = "",
) -> MaintenanceInstruction:
    """Say how often one kind of work falls due on a design; it stands above the computation.

    `hours` is running time in seconds; `needs` what has to be at hand.

    Raises
    ------
    Refused
        Without anything said.
    """
    rules.require(by, Permission.WRITE_DESIGN, design)
    if work not in WorkKind.values or work == WorkKind.BULLETIN:
        raise Refused(_("Choose the work."), field="work")
    if season not in ("", *Season.values):
        raise Refused(_("Choose the time of the year."), field="season")
    require_number("distance", distance, above=0, at_most=1e9)
    require_number("hours", hours, above=0, at_most=MOST_HOURS)
    require_number("months", months, above=0, at_most=240)
    text, needs = text.strip(), needs.strip()
    if not (distance or hours or months or season or text):
        raise Refused(
            _("Enter a distance, hours, months, a time of the year, or what is to be done.")
        )
    for field, words in (("text", text), ("needs", needs)):
        if len(words) > LONGEST_WORDS:
            raise Refused(_("Use at most 300 letters."), field=field)
    instruction, _new = MaintenanceInstruction.objects.update_or_create(
        design=design,
        work=work,
        defaults={
            "distance": distance,
            "hours": hours,
            "months": months,
            "season": season,
            "text": text,
            "needs": needs,
        },
    )
    audit.record("set_instruction", instruction, by=by, work=work, distance=distance, hours=hours,
                 months=months, season=season, text=text, needs=needs)  # fmt: skip
    transaction.on_commit(partial(instructions_changed.send, Design, design=design))
    return instruction


@transaction.atomic
def remove_instruction(*, design: Design, work: str, by: Person) -> None:
    """Say nothing of one kind of work any more."""
    rules.require(by, Permission.WRITE_DESIGN, design)
    gone, _rows = design.instructions.filter(work=work).delete()
    if gone:
        audit.record("remove_instruction", design, by=by, work=work)
        transaction.on_commit(partial(instructions_changed.send, Design, design=design))


@transaction.atomic
def set_dismantling(*, design: Design, by: Person, steps: Sequence[StepData]) -> Design:
    """Write the order in which a unit comes apart, from first to last; the old order is replaced.

    Raises
    ------
    Refused
        For a step that says nothing, or too much (its field is named `steps-<number>-<field>`).
    """
    rules.require(by, Permission.WRITE_DESIGN, design)
    if len(steps) > MOST_STEPS:
        raise Refused(_("That is more than 60 steps. Put some of them together."))
    for number, step in enumerate(steps):
        if not step.text.strip():
            raise Refused(_("Say what is done in this step."), field=f"steps-{number}-text")
        for field, words in vars(step).items():
            if len(words) > LONGEST_STEP:
                raise Refused(_("Use at most 400 letters."), field=f"steps-{number}-{field}")
    design.dismantling.all().delete()
    DismantlingStep.objects.bulk_create(
        DismantlingStep(
            design=design,
            order=order,
            **{field: words.strip() for field, words in vars(step).items()},
        )
        for order, step in enumerate(steps, start=1)
    )
    audit.record("set_dismantling", design, by=by, steps=len(steps))
    return design
