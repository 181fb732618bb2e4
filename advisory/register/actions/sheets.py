"""A whole build sheet at once, as it is typed on its page."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common.errors import Question, Refused
from advisory.people.models import Person
from advisory.register.actions.builds import change_build, record_measurement
from advisory.register.models import Build


class SheetRefused(Refused):
    """Some figures of a sheet can't be kept; `refusals` says of each position why."""

    def __init__(self, refusals: Mapping[int, Refused]) -> None:
        super().__init__(
            _("Nothing was kept yet. Put the marked figures right."), code="figures_refused"
        )
        self.refusals = dict(refusals)

    @property
    def only_asks(self) -> bool:
        """Whether all that is needed is a word that the figures are right."""
        return all(isinstance(refusal, Question) for refusal in self.refusals.values())


@transaction.atomic
def fill_sheet(
    *,
    build: Build,
    by: Person,
    typed: Mapping[int, str],
    built_on: date,
    new_white_metal: bool,
    notes: str,
    confirm: bool = False,
) -> Build:
    """Write the head of a sheet and the figure of each position (by its key), or nothing of it.

    Raises
    ------
    SheetRefused
        With what is to be said at each position.
    Refused
        For the head, or a sheet that is signed.
    """
    build = change_build(
        build=build, by=by, built_on=built_on, new_white_metal=new_white_metal, notes=notes
    )
    there = {row.position_id: row.as_typed for row in build.measurements.all()}
    positions = {position.pk: position for position in build.unit.design.positions.all()}
    refusals: dict[int, Refused] = {}
    for key, text in typed.items():
        if text.strip() == there.get(key, ""):
            continue
        try:
            record_measurement(
                build=build, position=positions[key], by=by, typed=text, confirm=confirm
            )
        except Refused as refusal:
            refusals[key] = refusal
    if refusals:
        raise SheetRefused(refusals)
    return build
