"""The choice of a unit's oil: for a reader, kept as it was shown, and looked at anew at night."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from advisory.lubrication.adapters import (
    AskedOtherwise,
    ChoiceCase,
    choice_case,
    choice_key,
    choice_oils,
    choice_record,
    choice_result,
    choices_of_records,
    choose,
    oils_left_out,
    with_oils,
)
from advisory.lubrication.adapters.engineering import METHOD, METHOD_VERSION, OilChoice
from advisory.lubrication.choice.ground import ChoiceGround, grounds_of
from advisory.lubrication.keeping import AdviceMethod, Told, as_kept, keep, latest
from advisory.lubrication.models import Lubricant, OilAdvice
from advisory.lubrication.queries import lubricants_for
from advisory.people.models import Person
from advisory.register.models import Unit

OIL_CHOICE = AdviceMethod(METHOD, METHOD_VERSION, choice_record, choices_of_records)
CHUNK = 100


@dataclass(frozen=True)
class Chosen:
    """A unit's oils as one reader is shown them.

    `lubricants` are the rows of the choice's oils by their keys: the generic ones, the unit's, and
    the reader's own cans.
    """

    ground: ChoiceGround
    case: ChoiceCase
    choice: OilChoice
    lubricants: dict[str, Lubricant]
    asked: AskedOtherwise

    def key_of(self, oil: Lubricant) -> str:
        """Return by what an oil is known here."""
        return choice_key(oil)

    @property
    def result(self) -> dict[str, Any]:
        """The choice in plain values."""
        return choice_result(self.case, self.choice)


def choose_for(unit: Unit, by: Person, asked: AskedOtherwise | None = None) -> Chosen:
    """Judge the oils for a unit as far as a reader may see, the reader's own cans among them.

    What was asked otherwise than it is known is shown and not kept.
    """
    asked = asked or AskedOtherwise()
    ground = grounds_of([unit], by)[unit.pk]
    case = choice_case(ground, asked)
    if not asked:
        _keep([(ground, case)])
    own = list(lubricants_for(by).filter(code=""))
    rows = {choice_key(row): row for row in (*ground.lubricants, *own)}
    names = {**case.names, **{key: row.name for key, row in rows.items()}}
    left_out = (*case.left_out, *(out for out in oils_left_out(own) if out not in case.left_out))
    whole = ChoiceCase(with_oils(case.case, choice_oils(own)), case.assumed, left_out, names)
    return Chosen(ground, whole, choose(whole.case), rows, asked)


def refresh_choices(units: Iterable[int]) -> int:
    """Judge the oils of these units anew where anything they rest on moved; return what was kept.

    It may be killed and begun again at any point: what stands unchanged is passed over.
    """
    kept, waiting = 0, iter(units)
    while keys := list(islice(waiting, CHUNK)):
        rows = list(Unit.objects.filter(pk__in=keys).select_related("design", "owner"))
        grounds = grounds_of(rows)
        kept += _keep([(ground, choice_case(ground)) for ground in grounds.values()])
    return kept


def _keep(cases: Sequence[tuple[ChoiceGround, ChoiceCase]]) -> int:
    """Keep the choices that are new; what stands with its inputs is not computed again."""
    rows = latest(METHOD, [ground.unit.pk for ground, _case in cases])
    last = {(row.unit_id, row.owner_alone): row for row in rows}
    tellings = []
    for ground, case in cases:
        inputs = as_kept(case.case.as_record())
        before = last.get((ground.unit.pk, ground.owner_alone))
        if before is None or not _stands(before, inputs, case):
            result = choice_result(case, choose(case.case))
            tellings.append(Told(ground.unit.pk, inputs, result, ground.owner_alone))
    return keep(OIL_CHOICE, tellings)


def _stands(before: OilAdvice, inputs: dict[str, Any], case: ChoiceCase) -> bool:
    """Say whether a choice was kept by this version from these very inputs."""
    told = (list(case.assumed), dict(case.names))
    return (
        before.method_version == METHOD_VERSION
        and before.inputs == inputs
        and (before.result["assumed"], before.result["names"]) == told
        and before.result["left_out"]
        == [{"name": out.name, "missing": list(out.missing)} for out in case.left_out]
    )
